"""What is owed: invoices against what was paid, credited, written off; how late it is; what of it is likely lost.

Start at account.py, then ageing.py and loss.py. Not here: what an invoice comes to (price/statement), reminders (desk).
"""
