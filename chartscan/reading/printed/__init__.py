"""What is printed around the grid: the key and the numbers along its sides."""
