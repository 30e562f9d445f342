"""Learning a skill: who is a trainee of what, and every session in which somebody was assessed, granted or not."""
