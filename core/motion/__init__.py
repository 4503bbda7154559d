"""The speed the machine really reaches along a path, and the time it takes."""
