"""Codes that people and machines read: lots, packs, their check characters, web addresses and square symbols.

Pure: knows no database and no page. One file per subject:

* ``signs``: the 32 signs, and how typed or scanned text is brought back to them;
* ``check``: the check character;
* ``lots``: codes of lots;
* ``packs``: codes of single packs, proved by computation;
* ``links``: web addresses, and the code in whatever a scanner sent;
* ``symbols``: modules of a QR symbol;
* ``errors``: the error that this room raises.
"""
