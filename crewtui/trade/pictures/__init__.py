"""What a drawing needs, in inches: the section through wall and yard, the wall seen from inside."""
