"""RFC 8032 section 7.1 (Ed25519 test vectors): keys, fingerprints' input and signatures. Published; exact."""

from __future__ import annotations

import pytest

from crewtui.record.signed.signing_keys import SigningKey, is_of_one_signer, key_id, signed_by

# Name in the RFC, secret key, public key, message, signature.
VECTORS = [
    (
        "TEST 1",
        "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        "",
        (
            "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e06522490155"
            "5fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b"
        ),
    ),
    (
        "TEST 2",
        "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
        "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
        "72",
        (
            "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da"
            "085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00"
        ),
    ),
    (
        "TEST 3",
        "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
        "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
        "af82",
        (
            "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac"
            "18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a"
        ),
    ),
]


@pytest.mark.parametrize("vector", VECTORS, ids=[vector[0] for vector in VECTORS])
def test_section_7_1(vector: tuple[str, ...]) -> None:
    secret, public, message, signature = (bytes.fromhex(text) for text in vector[1:])
    key = SigningKey.from_secret(secret)
    assert key.public == public
    assert key.sign(message) == signature
    assert signed_by(public, signature, message)
    assert not signed_by(public, signature, message + b"x")
    assert not signed_by(public, bytes([signature[0] ^ 1]) + signature[1:], message)
    # Section 5.1.7: S is below the group order, so the same signature with S + L is none.
    order = 2**252 + 27742317777372353535851937790883648493
    larger = int.from_bytes(signature[32:], "little") + order
    assert not signed_by(public, signature[:32] + larger.to_bytes(32, "little"), message)


def test_a_key_id_is_the_hash_of_the_public_key_alone() -> None:
    # FIPS 180-4's SHA-256 over the 32 bytes of TEST 1's public key, first 128 bits, in groups of four.
    public = bytes.fromhex(VECTORS[0][2])
    assert len(public) == 32
    assert key_id(public) == "21fe-31df-a154-a261-626b-f854-046f-d227"


# The curve as RFC 8032 section 5.1 gives it, in its own affine formulas.
P = 2**255 - 19
D = -121665 * pow(121666, P - 2, P) % P
Point = tuple[int, int]


def _added(one: Point, other: Point) -> Point:
    (x1, y1), (x2, y2) = one, other
    cross = D * x1 * x2 * y1 * y2
    x = (x1 * y2 + x2 * y1) * pow(1 + cross, P - 2, P) % P
    return x, (y1 * y2 + x1 * x2) * pow(1 - cross, P - 2, P) % P


def _x_of(y: int) -> int | None:
    """Return a root x of a point with this y (section 5.1.3); None where there is no such point."""
    square = (y * y - 1) * pow(D * y * y + 1, P - 2, P) % P
    x = pow(square, (P + 3) // 8, P)
    if x * x % P != square:
        x = x * pow(2, (P - 1) // 4, P) % P
    return x if x * x % P == square else None


def _times(point: Point, count: int) -> Point:
    total: Point = (0, 1)
    while count:
        if count & 1:
            total = _added(total, point)
        point, count = _added(point, point), count >> 1
    return total


def _of_low_order() -> set[Point]:
    """Return the eight points whose eightfold is the neutral one: any point times the large prime order."""
    order = 2**252 + 27742317777372353535851937790883648493
    found: set[Point] = set()
    y = 2
    while len(found) < 8:
        x = _x_of(y)
        if x is not None:
            low = _times((x, y), order)
            assert _times(low, 8) == (0, 1)
            found.add(low)
        y += 1
    return found


def test_a_point_that_any_signature_fits_is_no_signers_key() -> None:
    for x, y in _of_low_order():
        for encoded_y in (y, y + P):
            if encoded_y >= 2**255:
                continue
            public = (encoded_y | (x & 1) << 255).to_bytes(32, "little")
            assert not is_of_one_signer(public)
            assert not signed_by(public, b"\x01" + bytes(63), b"anything")
    for _, _, public_hex, _, _ in VECTORS:
        assert is_of_one_signer(bytes.fromhex(public_hex))
