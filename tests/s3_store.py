"""A small S3-compatible store in this process: what django-storages asks of one, and no more.

Every request must be signed (AWS Signature Version 4, header form); what is not is refused.
Objects in one piece or in several, listings by prefix and delimiter.
"""

import hashlib
import hmac
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from urllib.parse import parse_qsl, quote, unquote, urlsplit
from uuid import uuid4

KEY, SECRET, REGION = "key", "se/cret", "here"


def signature(
    secret: str,
    method: str,
    path: str,
    query: str,
    headers: Mapping[str, str],
    signed: str,
    scope: str,
) -> str:
    """The signature of a request. `signed` names the headers, `scope` is day/region/service/…"""
    pairs = sorted(parse_qsl(query, keep_blank_values=True))
    canonical = "\n".join([
        method,
        quote(unquote(path), safe="/-_.~"),
        "&".join(f"{quote(k, safe='-_.~')}={quote(v, safe='-_.~')}" for k, v in pairs),
        *(f"{name}:{' '.join(headers[name].split())}" for name in signed.split(";")),
        "",
        signed,
        headers["x-amz-content-sha256"],
    ])  # fmt: skip
    hashed = hashlib.sha256(canonical.encode()).hexdigest()
    text = "\n".join(["AWS4-HMAC-SHA256", headers["x-amz-date"], scope, hashed])
    key = f"AWS4{secret}".encode()
    for word in scope.split("/"):
        key = hmac.digest(key, word.encode(), "sha256")
    return hmac.new(key, text.encode(), "sha256").hexdigest()


class Store(ThreadingHTTPServer):
    """`kept` are the objects by path; `fails` is asked before each write."""

    daemon_threads = True

    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), _Answer)
        self.kept: dict[str, bytes] = {}
        self.parts: dict[str, dict[int, bytes]] = {}
        self.refused = 0
        self.is_full = False

    def address(self, bucket: str, secret: str = SECRET) -> str:
        where = f"127.0.0.1:{self.server_port}/{bucket}"
        return f"s3://{KEY}:{quote(secret, safe='')}@{where}?region={REGION}&plain=1"


class _Answer(BaseHTTPRequestHandler):
    protocol_version = "HTTP/1.1"
    server: Store

    def log_message(self, *_: object) -> None:
        return

    @property
    def name(self) -> str:
        return unquote(urlsplit(self.path).path)

    @property
    def asked(self) -> dict[str, str]:
        return dict(parse_qsl(urlsplit(self.path).query, keep_blank_values=True))

    def answer(self, status: int, body: bytes = b"", length: int | None = None) -> None:
        self.send_response(status)
        self.send_header("Content-Length", str(len(body) if length is None else length))
        self.send_header("ETag", '"1"')
        self.send_header("Last-Modified", "Mon, 24 Feb 2031 10:00:00 GMT")
        self.end_headers()
        self.wfile.write(body)

    def is_signed(self) -> bool:
        said = self.headers.get("Authorization", "").removeprefix("AWS4-HMAC-SHA256 ")
        words = dict(word.strip().split("=", 1) for word in said.split(",") if "=" in word)
        key, _, scope = words.get("Credential", "").partition("/")
        headers = {name.lower(): value for name, value in self.headers.items()}
        at = urlsplit(self.path)
        right = key == KEY and hmac.compare_digest(
            words.get("Signature", ""),
            signature(SECRET, self.command, at.path, at.query, headers,
                      words.get("SignedHeaders", ""), scope),
        )  # fmt: skip
        if not right:
            self.server.refused += 1
            self.body()
            self.answer(403, b"<Error><Code>SignatureDoesNotMatch</Code></Error>")
        return right

    def body(self) -> bytes:
        if "aws-chunked" not in self.headers.get("Content-Encoding", ""):
            return self.rfile.read(int(self.headers.get("Content-Length", 0)))
        body = b""
        while size := int(self.rfile.readline().split(b";")[0], 16):
            body += self.rfile.read(size)
            self.rfile.readline()
        while self.rfile.readline().strip():
            pass
        return body

    def do_PUT(self) -> None:
        if not self.is_signed():
            return
        body = self.body()
        if self.server.is_full:
            self.answer(507, b"<Error><Code>InsufficientStorage</Code></Error>")
        elif "uploadId" in self.asked:
            self.server.parts[self.asked["uploadId"]][int(self.asked["partNumber"])] = body
            self.answer(200)
        else:
            self.server.kept[self.name] = body
            self.answer(200)

    def do_POST(self) -> None:
        if not self.is_signed():
            return
        self.body()
        if "uploads" in self.asked:
            upload = uuid4().hex
            self.server.parts[upload] = {}
            said = f"<Result><UploadId>{upload}</UploadId></Result>"
        else:
            parts = self.server.parts.pop(self.asked["uploadId"])
            self.server.kept[self.name] = b"".join(parts[number] for number in sorted(parts))
            said = "<Result><ETag>1</ETag></Result>"
        self.answer(200, said.encode())

    def do_GET(self) -> None:
        if not self.is_signed():
            return
        if "list-type" in self.asked or "prefix" in self.asked:
            self.answer(200, self.listing())
        elif self.name in self.server.kept:
            self.piece(self.server.kept[self.name])
        else:
            self.answer(404)

    def piece(self, body: bytes) -> None:
        """The whole, or the range that is asked for: big objects come in several at once."""
        first, _, last = self.headers.get("Range", "").removeprefix("bytes=").partition("-")
        if not first:
            self.answer(200, body)
            return
        end = int(last) + 1 if last else len(body)
        self.answer(206, body[int(first) : end])

    def listing(self) -> bytes:
        prefix, cut = self.asked.get("prefix", ""), self.asked.get("delimiter", "")
        bucket = f"{self.name.rstrip('/')}/"
        names = sorted(n.removeprefix(bucket) for n in self.server.kept if n.startswith(bucket))
        files, folders = [], set()
        for name in names:
            rest = name.removeprefix(prefix)
            if not name.startswith(prefix):
                continue
            if cut and cut in rest:
                folders.add(prefix + rest.split(cut)[0] + cut)
            else:
                files.append(f"<Contents><Key>{name}</Key><Size>1</Size></Contents>")
        more = [f"<CommonPrefixes><Prefix>{n}</Prefix></CommonPrefixes>" for n in sorted(folders)]
        said = f"<IsTruncated>false</IsTruncated>{''.join(files)}{''.join(more)}"
        return f"<ListBucketResult>{said}</ListBucketResult>".encode()

    def do_HEAD(self) -> None:
        if self.is_signed():
            found = self.server.kept.get(self.name)
            self.answer(404 if found is None else 200, length=len(found or b""))

    def do_DELETE(self) -> None:
        if self.is_signed():
            self.server.kept.pop(self.name, None)
            self.answer(204)


@contextmanager
def serving() -> Iterator[Store]:
    server = Store()
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield server
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
