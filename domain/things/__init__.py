"""What an amount of an ingredient or an egg weighs."""
