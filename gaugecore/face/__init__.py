"""The disc the user reads: scale, graduations, numerals, sectors, and how well it reads."""
