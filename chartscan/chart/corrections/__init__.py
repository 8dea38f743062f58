"""What a stitcher says of a reading: acts as values, their replay, a line and a table of them."""
