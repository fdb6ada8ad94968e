"""Password hashing that a small server can afford."""

from django.contrib.auth.hashers import Argon2PasswordHasher


class ModestArgon2(Argon2PasswordHasher):
    """Argon2id with 19 MiB, two passes, one lane.

    Source: OWASP Password Storage Cheat Sheet (minimum configuration of Argon2id).
    Django's default takes 100 MiB a sign-in.
    """

    memory_cost = 19 * 1024
    time_cost = 2
    parallelism = 1
