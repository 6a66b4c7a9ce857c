"""What holds, what is asked before, and which lines are near."""
