"""Old names that outside scripts and checks call: one thin face, no formula of its own."""
