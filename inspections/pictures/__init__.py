"""Pictures as bytes: what kind they are, what is taken out of them, the small sizes. No database, no storage.

What a camera writes beside the picture (place, owner, serial numbers, notes of the maker, other pictures) is not
taken out name by name: a file is taken apart, and only the parts that make the picture are put together again. The
compressed picture itself is carried over byte for byte, so nothing is lost however often that is done. HEIC, which
most programs can't show, is the exception: it is decoded once and kept as JPEG.
"""
