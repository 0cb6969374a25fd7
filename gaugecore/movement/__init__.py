"""What turns the pointer, and the pointer itself."""
