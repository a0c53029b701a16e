"""What the flat piece does on the limb: left to itself, held, and released."""
