"""Curing: what a mix is, what to weigh, what it does in the piece, what can still be done.

``mix`` the things on the scale · ``accounting`` ingoing by each published method · ``formula`` unknown masses from
targets · ``premix`` small doses made weighable · ``harm`` when a dose can hurt · ``forecast`` when it is ready ·
``rescue`` what to do with a wrong mix.
"""
