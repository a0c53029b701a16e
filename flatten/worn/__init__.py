"""What is worn: neutral surface, edges and seams as chart curves, and the panels they cut."""
