"""The use cases, one module for each verb a person would say.

Read a part, plan it, keep it, print it. Owns transactions; web and cli call only this. Not here: how a figure is
computed (the rooms below), how it looks (web, papers). Start at plan_part.py, which asks all six questions.
"""
