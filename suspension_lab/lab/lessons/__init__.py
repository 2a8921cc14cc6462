"""What the lessons' pages ask and name: a module for each page, with its predictions, checks and numbers."""
