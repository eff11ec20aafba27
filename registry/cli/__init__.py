"""The command line: thin commands over the same door and the same queries as the pages."""
