"""steadyrest: for the owner of a small workshop that sells judgement by the hour.

Six questions: what is it, from what and how, by when, for how much, should I take it, is it right.
The two doors are cli/ and web/; they call only desk/. Below workers/ everything is pure computation: no storage, no
clock, no network, no global state; the moment, the draws and "shall I stop?" are arguments.
Start at desk/plan/plan_part.py, which asks all six questions in turn.
"""
