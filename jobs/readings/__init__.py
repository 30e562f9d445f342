"""What a load cell shows on the day, set against what the issued sheet allows there: judged once for every page."""
