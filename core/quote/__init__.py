"""Price from sheets, minutes and the shop's rates."""
