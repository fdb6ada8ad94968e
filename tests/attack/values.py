"""What nobody should send, and somebody will: values for any field of a form or an address."""

LONG = 10_000

# Each once as text of a form. What a field makes of it is the field's business; that it
# makes something of it, and that every page still opens afterwards, is the test's.
WORDS = (
    "", " ", "\t", "\n", "\r\n", "\u00a0", "\u3000", "\u2028", "\x00", "a\x00b", "\x01\x02",
    "\x1b[31mred", "\x7f", "\x85", "\ufeffstart", "\ufffe", "\u202eevil\u202c", "a\u200bb",
    "\u200d", "e\u0301" * 40, "Z" + "\u0351" * 60, "👩‍👩‍👧‍👦", "👍🏽" * 50, "\U0010ffff",
    "𝕆𝕕𝕚𝕝𝕖", "ﷺ" * 20, "ß", "İi̇", "ﬁ", "a" * 81, "a" * 201, "a" * 301, "a" * 1001,
    "a" * LONG, "a b " * 2_500, "\n" * 2_000, "é" * LONG, "' OR 1=1 --",
    "'; DROP TABLE people_user; --", '"', "''", "`id`", "$(id)", "\\", "\\x00", "%",
    "%s%s%n", "%(name)s", "{}", "{0.__class__}", "{{ 7|add:7 }}", "{% now 'Y' %}", "{# #}",
    "<b>bold</b>", "<script>alert(1)</script>", "</script><script>", "<!--", "]]>", "&lt;",
    "&#0;", "\"><img src=x onerror=alert(1)>", "javascript:alert(1)", "data:text/html,x",
    "//evil.example", "https://evil.example/", "../../etc/passwd", "..\\..\\x",
    "file:///etc/passwd", "CON", "a.jpg.svg", "=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "＝1",
    "=cmd|' /C calc'!A0", "Bcc: all@example.org", "a\r\nBcc: all@example.org",
    "a\nSubject: x", "a@b", "a@example.org\nb@example.org", '"a b"@example.org',
    "a" * 300 + "@example.org", "ü@exämple.org", "null", "None", "undefined", "true",
    "false", "on", "off", "[]", "[object Object]", '{"a": 1}', "[" * 2_000,
)  # fmt: skip
NUMBERS = (
    "0", "-0", "1", "-1", "007", "1.5", "1,5", "1,000", "1.000,5", "1_000", "1e3", "1E400",
    "-1e400", "1e-400", "0x10", "0b1", "1/2", "½", "²", "٣", "１２", "१", "Ⅷ", "−5", "–5",
    "+5", " 5 ", "5 %", "5kg", "--5", "5-", ".", "-", ".5", "5.", "NaN", "nan", "-nan",
    "Infinity", "inf", "-inf", "127", "128", "255", "256", "32767", "32768", "-32769",
    "65536", "2147483647", "2147483648", "-2147483649", "4294967296", "9223372036854775807",
    "9223372036854775808", "-9223372036854775809", "1" + "0" * 30, "9" * 400, "9" * 5_000,
    "0." + "1" * 5_000, "3.141592653589793238",
)  # fmt: skip
TIMES = (
    "2031-02-30", "2026-02-29", "2028-02-29", "2031-13-01", "2031-00-10", "0000-01-01",
    "0001-01-01", "0001-01-02", "1582-10-10", "1899-12-31", "1970-01-01", "9999-12-31",
    "10000-01-01", "-0001-01-01", "20310224", "2031-W09-1", "2031-055", "24/02/2031",
    "02/24/2031", "2031-2-4", "tomorrow", "now", "2031-02-24T12:00", "2031-02-24 12:00",
    "2031-02-24T12:00:00Z", "2031-02-24T12:00:00+99:99", "2031-03-09T02:30",
    "0001-01-01T00:00", "9999-12-31T23:59", "9999-12-31T23:59:60", "24:00", "25:00",
    "23:59:60", "12:60", "-1:00", "7", "0700", "noon", "00:00", "00:00:00.0000001",
    "Mars/Base", "UTC", "Europe/../UTC", "/etc/localtime", "localtime", "GMT+25",
)  # fmt: skip
NAMES = (
    "00000000-0000-0000-0000-000000000000", "ffffffff-ffff-ffff-ffff-ffffffffffff",
    "{12345678-1234-5678-1234-567812345678}",
    "urn:uuid:12345678-1234-5678-1234-567812345678", "123456781234567812345678123456781",
    "12345678-1234-5678-1234-56781234567", "1", "0", "-1", "1 OR 1=1",
    "user__password__startswith", "password", "?", "-pk", "id", "pk", "__class__",
)  # fmt: skip
EVERY = (*WORDS, *NUMBERS, *TIMES, *NAMES)
