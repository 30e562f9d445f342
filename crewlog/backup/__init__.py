"""Copies of the whole: back up and restore database, files and key; move the database to another kind.

`rows` reads and writes any table of either database and compares two, `copying` fills one database from another,
`taking`, `putting_back` and `moving` are what the commands of these names do.
"""
