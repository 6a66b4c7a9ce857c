"""What is wrong with a plan before anything is dug."""
