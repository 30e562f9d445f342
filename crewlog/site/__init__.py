"""Running the site: faults of the machine named, health, log lines, and what a person who runs it checks."""
