"""What every room needs: errors in one sentence, checked numbers, and reading text files."""
