"""What a page can ask of a worker that keeps vehicles, drawings and cases between two questions."""
