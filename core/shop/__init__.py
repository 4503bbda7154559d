"""What the shop learns: its cut log, and the coefficients fitted from it."""
