"""Rules of motion and of workholding: what would break a cutter, a board, the machine or its operator."""
