"""Small parts that views are made of."""
