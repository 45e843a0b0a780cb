// Package format is what lies in the shared place, to the byte: names, segments,
// heads, records of machines, wrapped keys, and how each is sealed, opened and
// verified. It neither reads a stash nor asks a place: what is sealed is handed in,
// what is opened is handed out.
//
// # What lies in the shared place
//
//	format.json                                        format, vault, least reader; written once
//	keys/<epoch>/<kind>-<tag>-<object>.age             the ring of vault keys, wrapped (Ring);
//	                                                   kind notice: that the key was changed
//	dev/<lane>-<object>.age                            who writes a lane, and its public key (Device)
//	head/<lane>-<last>-<chain>-<epoch>-<object>        what this lane has, has seen of others (Head)
//	seg/<lane>/<first>-<last>-<chain>-<object>.seg     a run of events (Segment)
//	pic/<epoch>-<key>-<object>.age                      the bytes of a picture that a photo names
//
// A lane is 24 characters [a-z2-7]; first and last are decimal; chain is the
// event id of the last event and object the first 16 bytes of the SHA-256 of
// the whole object, both in 26 characters [a-z2-7]. An epoch is its number, a
// point and 8 characters that tell two epochs of one number apart. Every name
// holds the hash of its content, so two contents cannot share one and a
// repeated put is harmless. Anything else that lies there is counted and left
// alone. format.json is the only object without a hash in its name.
//
// # Segment, version 1
//
// All numbers are big-endian.
//
//	offset  bytes
//	     0      8  magic "endsmseg"
//	     8      1  version, 1
//	     9      9  epoch of the vault key: number (4 bytes), mark (5)
//	    18     15  lane
//	    33     15  lane of the signer
//	    48      8  sequence number of the first event
//	    56      8  of the last
//	    64     32  chain hash before the first event
//	    96     32  chain hash of the last
//	   128      8  length of the whole object
//	   136     64  Ed25519 signature of the signer
//	   200         age(zstd(lines joined by line feeds)), to the X25519 recipient of the epoch
//
// The signature is over "endsmeet head 1\n", the vault's id, the lane, the last
// number and the id of the last event, which fixes all before it. It says: I vouch that
// this lane holds this. The signer is the lane itself, or, where a segment was put back,
// merged or sealed anew by somebody else, the lane of another machine of the vault: so
// what a machine wrote whose key is gone can still be passed on. age does not say who
// sealed; this does. The signature of a removed machine counts for nothing.
//
// A reader checks in this order, and each failure has its own words: name,
// magic and version, length, hash, signature by a registered key, header
// against name, age, zstd (memory capped), count, chain. Nothing is taken in
// before all of them pass.
//
// Segments that were merged into a wider one are deleted after a grace, and only
// when the wider one has been read again and is as it was put: a place that lost
// it then still holds what it was made of.
//
// # Head, version 1
//
// Epoch (9 bytes), nonce (24), then sealed by XChaCha20-Poly1305 with the
// name up to the epoch as additional data, under HKDF-SHA256 of the epoch's
// identity ("endsmeet head 1"): version 1 (1 byte), signer (15), signature
// as in the segment (64), wall clock in Unix milliseconds (8), and for each
// other lane the first 6 bytes of its name and, as a varint, the greatest
// number seen. Its name alone tells where to look for news; what it claims counts
// once it was opened. A machine that has recorded nothing puts one that ends at 0.
package format
