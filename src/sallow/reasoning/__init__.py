"""The reasoning core: facts, chaining, belief, the next question; standard library only, no input or output."""
