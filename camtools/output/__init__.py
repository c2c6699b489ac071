"""RS-274 text, pictures, cut list and manifest, written as one packet."""
