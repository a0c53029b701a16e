"""What finished pieces measured beside what was foretold of them, and what is learned from that over several jobs."""
