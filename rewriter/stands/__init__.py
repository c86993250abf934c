"""What goes to the stands: one part for each section, cut out of any finished score."""
