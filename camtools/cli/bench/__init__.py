"""Commands for what is measured and tried at the bench."""
