"""What is owned, promised, used and to buy."""
