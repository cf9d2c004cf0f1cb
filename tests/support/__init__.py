"""What the tests of the reasoning share: small and large knowledge bases, plain oracles, translations."""
