"""What is cut in trial boards alone: the nicks that count steps, and the slots that cutters are measured by."""
