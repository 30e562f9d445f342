"""The demo: an invented riverside works, built with the same services that the pages use."""
