"""A store's file, read by another build of SQLCipher.

    python tests/outside/store_sqlcipher.py

Needs `sqlcipher3-binary` (PyPI). Handrail makes a store with a known number of entries; another SQLCipher 4 opens it
with the key out of the key file, counts, and finds every page whole. Without the key, or with another one, the file is
noise.
"""

import collections
import math
import pathlib
import tempfile

from common import WORK, Checks, example

import sqlcipher3.dbapi2 as sqlcipher

ENTRIES = 500


def opened(path, key=None):
    connection = sqlcipher.connect(f"file:{path}?mode=ro", uri=True)
    if key:
        connection.execute(f"PRAGMA key = \"x'{key}'\"")
    return connection


def refuses(path, key=None):
    """Whether the file cannot be read, and in which words."""
    try:
        opened(path, key).execute("SELECT count(*) FROM sqlite_schema").fetchone()
        return "it opened"
    except sqlcipher.DatabaseError as error:
        return str(error)


def bits_a_byte(data):
    """Entropy of single bytes: 8 for noise, about 5 for text."""
    counts = collections.Counter(data)
    return -sum(n / len(data) * math.log2(n / len(data)) for n in counts.values())


def main():
    checks = Checks()
    WORK.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=WORK) as folder:
        path, key_file = pathlib.Path(folder, "clinic.db"), pathlib.Path(folder, "key")
        said = example("make_store", path, key_file, ENTRIES)
        checks.that("the maker says what it made", f"{ENTRIES} entries" in said, said)
        key = key_file.read_text().strip()
        data = path.read_bytes()

        checks.that("the key is 64 hexadecimal digits", len(key) == 64 and int(key, 16) >= 0)
        checks.same("rights of the file", oct(path.stat().st_mode & 0o777), "0o600")
        checks.same("rights of the key file", oct(key_file.stat().st_mode & 0o777), "0o600")
        checks.same("nothing is left beside the closed file", sorted(p.name for p in path.parent.iterdir()),
                    ["clinic.db", "key"])
        checks.that("the file does not begin as SQLite's do", not data.startswith(b"SQLite format 3"), data[:16])
        checks.that("the file is noise", bits_a_byte(data) > 7.99, bits_a_byte(data))
        for word in (b"an invented note", b"Ines Abad", b"CREATE TABLE", key.encode()):
            checks.that(f"{word[:20]!r} is not in the file", word not in data)

        connection = opened(path, key)
        version = connection.execute("PRAGMA cipher_version").fetchone()[0]
        checks.that("the other build is SQLCipher 4", version.startswith("4."), version)
        one = lambda sql: connection.execute(sql).fetchone()[0]
        checks.same("entries", one("SELECT count(*) FROM entry"), ENTRIES)
        checks.same("streams", one("SELECT count(*) FROM stream"), 10)
        checks.same("the heads add up", one("SELECT sum(head) FROM stream"), ENTRIES)
        checks.same("the last payload", one("SELECT payload FROM entry WHERE stream = 'e9' AND number = 50"),
                    '{"text": "an invented note, number 499"}')
        checks.same("cipher_integrity_check", connection.execute("PRAGMA cipher_integrity_check").fetchall(), [])
        checks.same("integrity_check", connection.execute("PRAGMA integrity_check").fetchall(), [("ok",)])
        checks.same("cipher", one("PRAGMA cipher_page_size"), "4096")
        connection.close()

        checks.that("without a key", "not a database" in refuses(path), refuses(path))
        other = f"{int(key, 16) ^ 1:064x}"
        checks.that("one bit off the key", "not a database" in refuses(path, other), refuses(path, other))
    checks.done()


if __name__ == "__main__":
    main()
