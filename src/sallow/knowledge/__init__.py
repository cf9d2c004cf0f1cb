"""The knowledge base: files in, one immutable value out."""
