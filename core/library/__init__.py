"""Materials, cutters, holders, machines, sheets, recipes, rates: the shelf."""
