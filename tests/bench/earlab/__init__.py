"""What the bench of the ear is made of: voices, noises, what is said, the peers, the figures."""
