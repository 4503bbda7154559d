"""Sample jobs of our own scenario: Kiln Lane Plastics, guards and fittings for a bakery."""
