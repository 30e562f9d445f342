"""What a page is drawn with, in few files: four weights of one font, one stylesheet, and one script a task.

They are made from `<app>/styles`, `<app>/scripts` and the installed packages when they are first asked for, are kept in
`MADE_DIR`, and are found as static files, with `collectstatic` and without (`finder.py`). Decision 21.
"""
