"""Entry point for the management commands."""

import os
import sys

from django.core.management import execute_from_command_line

from crewlog.local import prepare_demo

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "crewlog.settings")
    if sys.argv[1:2] == ["demo"]:
        prepare_demo(sys.argv[2:])
    execute_from_command_line(sys.argv)
