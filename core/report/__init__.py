"""What is told about a plan: records, text, JSON."""
