"""Pictures of setups: boards on the machine as whoever stands there sees them."""
