"""The command line: one command, one job."""
