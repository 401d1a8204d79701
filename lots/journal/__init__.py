"""The journal: canonical bytes, the tree over them, proofs, commitments and the form of one entry.

Pure: knows no database and no page. One file per subject:

* ``canonical``: values to bytes and back, one byte form per value;
* ``tree``: Merkle tree, inclusion and consistency proofs;
* ``commitments``: salted commitments to values about persons;
* ``entries``: the body of an entry and the walk along the chain;
* ``digests``: what a SHA-256 looks like as text;
* ``errors``: the error that this room raises.
"""
