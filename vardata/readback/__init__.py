"""Stage 8: rendering the finished bed files and reading them again, from the files alone."""
