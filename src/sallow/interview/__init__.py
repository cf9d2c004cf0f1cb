"""The guided look: one session, put to the person by keys, by plain numbered prompts, or replayed from a file."""
