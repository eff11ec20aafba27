"""What is drawn or printed: discs, hull strips, life lines, label symbols. Pure text out, no database."""
