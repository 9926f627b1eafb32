"""The notebook and the command line."""
