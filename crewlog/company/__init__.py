"""The company itself: its particulars, and starting one."""
