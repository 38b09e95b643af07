"""Customers and money: who they are, what was done for them, what it comes to, what is owed."""
