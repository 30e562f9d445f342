"""What a person typed or sent that did not get through: kept on the device, told on return, never a blank page.

The door: `addresses.posts_only` for views, `middleware` for settings, `views` for addresses, `outcome` for what became
of a form. The device's part is `scripts/page/{kept,draft_boxes,drafts,sending}.mjs` (decision 20).
"""
