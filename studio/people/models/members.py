from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.utils import timezone

from studio.people import rights


class Role(models.TextChoices):
    MEMBER = "member", "member"
    HELPER = "helper", "helper"
    TECHNICIAN = "technician", "technician"
    MANAGER = "manager", "manager"
    ROOM = "the room", "the room"  # the shared tablet; nobody in person


class Units(models.TextChoices):
    METRIC = "metric", "grams and litres"
    US = "us", "also pounds and US gallons"
    IMPERIAL = "imperial", "also pounds and imperial gallons"


class MemberManager(BaseUserManager):
    def get_by_natural_key(self, username):
        return self.get(username=username.lower())


class Member(AbstractBaseUser):
    """A person of the studio. ``username`` signs in, ``name`` is shown."""

    username = models.CharField(max_length=40, unique=True)
    name = models.CharField(max_length=80)
    role = models.CharField(max_length=12, choices=Role.choices, default=Role.MEMBER)
    units = models.CharField(max_length=10, choices=Units.choices, default=Units.METRIC)
    is_active = models.BooleanField(default=True)
    joined_at = models.DateTimeField(default=timezone.now)
    left_at = models.DateTimeField(null=True, blank=True)
    pin = models.CharField(max_length=128, blank=True, help_text="digest; for the room's tablet alone")
    pin_misses = models.PositiveSmallIntegerField(default=0, help_text="wrong PINs since the last right one")
    pin_closed_until = models.DateTimeField(null=True, blank=True, help_text="after too many wrong ones")
    dip_card_at = models.DateTimeField(null=True, blank=True, help_text="when they were shown how to dip")
    unread = models.PositiveIntegerField(default=0, help_text="notices not read yet")

    USERNAME_FIELD = "username"
    REQUIRED_FIELDS = ["name"]
    objects = MemberManager()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    @property
    def is_room(self) -> bool:
        return self.role == Role.ROOM

    def holds(self, right: str) -> bool:
        """Whether this person holds the right; a helper's depends on their sign-offs. Doors ask this."""
        if right in rights.of_role(self.role):
            return True
        needed = rights.sign_off_for(right) if self.role == Role.HELPER else None
        return needed is not None and needed in self.valid_sign_offs

    def may(self, right: str) -> bool:
        """Whether pages offer what this right opens.

        The same as ``holds`` for a person. The room's tablet offers everyday acts to whoever chooses
        their name; its own rights stay few.
        """
        return self.holds(right) or (self.is_room and right in rights.OFFERED_IN_THE_ROOM)

    @property
    def valid_sign_offs(self) -> frozenset[str]:
        """Kinds of sign-off in force today; read once per request."""
        if not hasattr(self, "_sign_offs"):
            today = timezone.localdate()
            rows = self.sign_offs.filter(withdrawn_at=None).values_list("kind", "expires_on")
            self._sign_offs = frozenset(kind for kind, until in rows if until is None or until >= today)
        return self._sign_offs


class SignOff(models.Model):
    """One person confirmed that another may do one kind of work, until a date."""

    class Kind(models.TextChoices):
        DIPPING = "dipping", "dipping"
        SG = "SG", "SG"
        WET = "wet mixing", "wet mixing"
        WEIGHING = "weighing", "weighing"
        HAZARDOUS = "hazardous", "hazardous"
        KILN = "kiln", "kiln"

    member = models.ForeignKey(Member, models.PROTECT, related_name="sign_offs")
    kind = models.CharField(max_length=12, choices=Kind.choices)
    expires_on = models.DateField(null=True, blank=True)
    given_by = models.ForeignKey(Member, models.PROTECT, related_name="+")
    given_at = models.DateTimeField(default=timezone.now)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["kind"]
        constraints = [
            models.UniqueConstraint(
                fields=["member", "kind"],
                condition=models.Q(withdrawn_at=None),
                name="one_sign_off_in_force",
            )
        ]

    @property
    def expired(self) -> bool:
        return self.expires_on is not None and self.expires_on < timezone.localdate()


class Invitation(models.Model):
    """A one-time link with which a person joins. Only a digest of its code is kept."""

    digest = models.CharField(max_length=64, unique=True)
    name = models.CharField(max_length=80)
    role = models.CharField(max_length=12, choices=Role.choices, default=Role.MEMBER)
    by = models.ForeignKey(Member, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    used_by = models.ForeignKey(Member, models.PROTECT, null=True, blank=True, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)


class Token(models.Model):
    """A person's key for programs: shown once, kept as a digest, revocable."""

    member = models.ForeignKey(Member, models.PROTECT, related_name="tokens")
    name = models.CharField(max_length=60)
    digest = models.CharField(max_length=64, unique=True)
    at = models.DateTimeField(default=timezone.now)
    revoked_at = models.DateTimeField(null=True, blank=True)
