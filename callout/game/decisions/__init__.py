"""What each call means for the book, one module for each part of the game."""
