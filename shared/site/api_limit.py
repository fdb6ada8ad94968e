"""How often one sender may ask the API, whichever process answers."""

from django.core.cache import caches
from django.db.models import Model
from rest_framework.request import Request
from rest_framework.throttling import SimpleRateThrottle

STEP = 10


class PerSender(SimpleRateThrottle):
    """A limit for each phone and each sign-in, in minutes of the clock.

    A process counts for itself and tells the others after every STEP requests, so that asking
    costs no write. A sender gets through at most STEP - 1 more than the limit for each other
    process. A cache that was emptied begins anew.
    """

    scope = "api"
    # Made of the rate by the class above, which says no types.
    rate: str | None
    duration: int
    num_requests: int
    cache = caches["process"]
    shared = caches["default"]

    def get_cache_key(self, request: Request, view: object) -> str | None:
        """Under what it counts; whoever has proven nothing is turned away before."""
        sender = request.auth if request.auth is not None else request.user
        return f"api-{sender.pk}" if getattr(sender, "pk", None) else None

    def allow_request(self, request: Request, view: object) -> bool:
        sender = self.get_cache_key(request, view)
        return sender is None or self._counts(sender)

    def allows(self, sender: Model) -> bool:
        """The same of who has proven to be this key or user, without a request around it."""
        return self._counts(f"api-{sender.pk}")

    def _counts(self, sender: str) -> bool:
        if self.rate is None:
            return True
        self.now = self.timer()
        key = f"{sender}-{int(self.now // self.duration)}"
        mine, elsewhere = self.cache.get(key, (0, 0))
        mine += 1
        if mine % STEP == 0 or mine == 1:
            elsewhere = self._tell(key, mine - mine % STEP) - (mine - mine % STEP)
        self.cache.set(key, (mine, elsewhere), self.duration)
        return bool(mine + elsewhere <= self.num_requests)

    def _tell(self, key: str, told: int) -> int:
        """What all processes have told, with STEP more of this one's if it has counted so many."""
        if not told:
            return int(self.shared.get(key, 0))
        self.shared.add(key, 0, self.duration)
        return int(self.shared.incr(key, STEP))

    def wait(self) -> float:
        """Seconds until the next minute of the clock."""
        return self.duration - self.now % self.duration
