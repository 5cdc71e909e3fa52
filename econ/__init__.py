"""The economics of home-made fuel: farms in, honest sums out."""
