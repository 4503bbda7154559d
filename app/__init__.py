"""The desktop program: windows and views around one document, and the command line."""
