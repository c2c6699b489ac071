"""Plane and solid geometry of the joints and grooves in mm. Knows no feed and no file."""
