"""The company's people: who they are, what they are competent in, how they are invited and leave."""
