"""What no flat pattern of a panel can beat: a lower bound on the spread of every flat map of it."""
