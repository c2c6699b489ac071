"""From openings to drawers and boards: wood movement, sizes, tails and pins, groove positions."""
