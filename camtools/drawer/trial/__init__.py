"""Trial boards: the joints of a job in offcuts, at stepped clearances."""
