"""How models/vosk-model-en-hall.npz was found, and is found anew: `make training`."""
