"""The metal account: every gram and every cent is a transfer between two accounts, and nothing in it is changed.

Metal and money stand in the same books: an account holds grams of one alloy, or money. A transfer takes an amount from
one account to another of the same kind, so the sum over all accounts is zero; triggers of the database
(`migrations/_account_guards.py`) see to that, and refuse to change or to delete a row. A mistake is corrected by
another entry.
"""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any, Self

from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from casting.models.day import CastingDay, Wax
from casting.models.materials import Alloy
from school.models import Person, School, Student

PLACES = 4
SMALLEST = Decimal(1).scaleb(-PLACES)
"""Of grams and of money: a tenth of a milligram, and a hundredth of a cent."""


if TYPE_CHECKING:
    WholeNumbers = models.BigIntegerField[Any, Any]
else:
    WholeNumbers = models.BigIntegerField


class ExactField(WholeNumbers):
    """A decimal number with up to four places, kept as a whole number of ten-thousandths.

    SQLite keeps a decimal column as binary floating point and adds it up so; whole numbers stay exact on every engine.
    """

    def from_db_value(self, value: Any, *_how: Any) -> Decimal | None:
        """Return the number that is kept."""
        return None if value is None else Decimal(value) * SMALLEST

    def to_python(self, value: Any) -> Decimal | None:
        """Return the number as a decimal."""
        return None if value is None else Decimal(value)

    def get_prep_value(self, value: Any) -> Any:
        """Return what is kept; ValueError for a number that would lose a digit, TypeError for a float."""
        if value is None or hasattr(value, "resolve_expression"):
            return value
        if isinstance(value, float):
            raise TypeError(f"{value!r} is a float; the account takes decimals")
        whole = Decimal(value).scaleb(PLACES)
        if whole != whole.to_integral_value():
            raise ValueError(f"{value} has more than {PLACES} places")
        return int(whole)


class OfSchool(models.QuerySet[Any]):
    """Rows of the account of a school."""

    def of(self, person: Person) -> Self:
        """Return the rows of the person's school."""
        return self.filter(school_id=person.school_id)


class Lot(models.Model):
    """A lot of fresh metal as it was bought, from whom and with which certificate."""

    school = models.ForeignKey(School, on_delete=models.CASCADE, related_name="lots")
    alloy = models.ForeignKey(Alloy, on_delete=models.RESTRICT, related_name="lots")
    number = models.PositiveIntegerField(_("number"))
    supplier = models.CharField(_("bought from"), max_length=80, blank=True)
    certificate = models.CharField(_("certificate no."), max_length=40, blank=True)
    bought_on = models.DateField(_("bought on"))
    weight_g = ExactField(_("weight, g"))
    price = ExactField(_("price of the lot"), null=True, blank=True)

    objects = OfSchool.as_manager()

    class Meta:
        verbose_name = _("lot of metal")
        verbose_name_plural = _("lots of metal")
        ordering = ("bought_on", "pk")
        constraints = (
            models.UniqueConstraint(fields=("school", "number"), name="lot_number_once_per_school"),
            models.CheckConstraint(condition=Q(weight_g__gt=0), name="lot_weighs_something"),
            models.CheckConstraint(condition=Q(price__gte=0), name="lot_price_not_negative"),
        )

    def __str__(self) -> str:
        return f"lot {self.number}"


class PriceList(models.Model):
    """What students pay, one version of it; a new version never changes a bill that another was made by.

    `per_gram` are the prices of a gram by the alloy's key, as text, so that no digit is lost.
    """

    school = models.ForeignKey(School, on_delete=models.CASCADE, related_name="price_lists")
    version = models.PositiveIntegerField(_("version"))
    per_gram = models.JSONField(_("a gram of each metal"), default=dict, blank=True)
    per_piece = ExactField(_("each piece"), default=Decimal(0))
    own_piece = ExactField(_("each piece of own metal"), default=Decimal(0))
    class_fee = ExactField(_("class fee"), default=Decimal(0))
    minimum = ExactField(_("least of a bill"), default=Decimal(0))
    by = models.ForeignKey(Person, on_delete=models.RESTRICT, null=True, related_name="+")
    at = models.DateTimeField(_("when"), default=timezone.now)

    objects = OfSchool.as_manager()

    class Meta:
        verbose_name = _("price list")
        verbose_name_plural = _("price lists")
        ordering = ("-version",)
        constraints = (
            models.UniqueConstraint(fields=("school", "version"), name="price_list_version_once_per_school"),
            models.CheckConstraint(
                condition=Q(per_piece__gte=0, own_piece__gte=0, class_fee__gte=0, minimum__gte=0),
                name="price_list_not_negative",
            ),
        )

    def __str__(self) -> str:
        return f"price list {self.version}"


class Account(models.Model):
    """Where metal or money lies, or where it went: grams of one alloy, or money if there is no alloy."""

    class Kind(models.TextChoices):
        """What an account is for; the first ten hold metal, the others money."""

        OUTSIDE = "outside", _("outside the school")
        LOT = "lot", _("fresh metal")
        BUTTONS = "buttons", _("buttons")
        SPRUES = "sprues", _("sprues")
        SWEEPS = "sweeps", _("sweeps")
        OWN = "own", _("a student's own metal")
        FLASK = "flask", _("flask")
        CASTINGS = "castings", _("castings of a student")
        LOSS = "loss", _("loss")
        COUNT = "count", _("found when stock was counted")
        OWES = "owes", _("to be paid by a student")
        SALES = "sales", _("charged")
        TILL = "till", _("money paid in and out")
        PURCHASES = "purchases", _("metal bought")

    class Part(models.TextChoices):
        """The price rule that an account of charges is of."""

        METAL = "metal", _("metal by weight")
        PIECE = "piece", _("piece")
        OWN_PIECE = "own_piece", _("piece of own metal")
        CLASS_FEE = "class_fee", _("class fee")
        MINIMUM = "minimum", _("up to the least of a bill")

    HOLDING = (Kind.LOT, Kind.BUTTONS, Kind.SPRUES, Kind.SWEEPS, Kind.OWN, Kind.FLASK, Kind.CASTINGS)
    """Where metal lies: nobody takes out of them more than there is."""

    school = models.ForeignKey(School, on_delete=models.CASCADE, related_name="accounts")
    kind = models.CharField(_("kind"), max_length=9, choices=Kind.choices)
    alloy = models.ForeignKey(Alloy, on_delete=models.RESTRICT, null=True, blank=True, related_name="+")
    lot = models.ForeignKey(Lot, on_delete=models.RESTRICT, null=True, blank=True, related_name="+")
    melts = models.PositiveSmallIntegerField(_("melts so far"), null=True, blank=True)
    day = models.ForeignKey(CastingDay, on_delete=models.RESTRICT, null=True, blank=True, related_name="accounts")
    label = models.CharField(_("flask"), max_length=3, blank=True)
    student = models.ForeignKey(Student, on_delete=models.RESTRICT, null=True, blank=True, related_name="accounts")
    part = models.CharField(_("price rule"), max_length=9, choices=Part.choices, blank=True)

    objects = OfSchool.as_manager()

    class Meta:
        verbose_name = _("account")
        verbose_name_plural = _("accounts")
        ordering = ("pk",)
        constraints = (
            models.CheckConstraint(
                condition=Q(
                    kind__in=(
                        "outside", "lot", "buttons", "sprues", "sweeps", "own", "flask", "castings", "loss", "count",
                    ),
                    alloy__isnull=False,
                )
                | Q(kind__in=("owes", "sales", "till", "purchases"), alloy__isnull=True),
                name="account_of_metal_has_an_alloy",
            ),
            models.UniqueConstraint(fields=("lot",), condition=Q(lot__isnull=False), name="account_once_per_lot"),
            models.UniqueConstraint(
                fields=("school", "alloy", "kind", "melts"),
                condition=Q(melts__isnull=False),
                name="account_once_per_melts",
            ),
            models.UniqueConstraint(
                fields=("day", "label", "alloy"), condition=Q(kind="flask"), name="account_once_per_flask"
            ),
            models.UniqueConstraint(
                fields=("student", "alloy", "kind"),
                condition=Q(kind__in=("own", "castings")),
                name="account_once_per_student_and_metal",
            ),
            models.UniqueConstraint(
                fields=("student",), condition=Q(kind="owes"), name="account_once_per_student"
            ),
            models.UniqueConstraint(
                fields=("school", "alloy", "kind"),
                condition=Q(kind__in=("outside", "sweeps", "loss", "count")),
                name="account_once_per_metal",
            ),
            models.UniqueConstraint(
                fields=("school", "kind", "part"),
                condition=Q(kind__in=("sales", "till", "purchases")),
                name="account_of_money_once",
            ),
        )  # fmt: skip

    def __str__(self) -> str:
        return f"{self.kind} {self.pk}"

    @property
    def is_metal(self) -> bool:
        """Whether it holds grams of an alloy and no money."""
        return self.alloy_id is not None


class AccountEntry(models.Model):
    """What was booked at once, by whom and why: a lot bought, a weigh-out, a bill. Its transfers are what it moved.

    `details` hold what its kind needs to be told later as it was, like the lines of a bill. The same form sent twice
    over a weak network has the same `key`, and is one entry.
    """

    class Kind(models.TextChoices):
        """The documents of the account."""

        LOT = "lot", _("lot bought")
        OWN_IN = "own_in", _("own metal brought")
        OWN_OUT = "own_out", _("own metal handed back")
        WEIGH_OUT = "weigh_out", _("weighed out")
        WEIGH_BACK = "weigh_back", _("weighed back")
        SETTLED = "settled", _("flask settled")
        SENT = "sent", _("sent to the refiner")
        COUNT = "count", _("stock counted")
        BILL = "bill", _("bill")
        PAYMENT = "payment", _("payment")
        CORRECTION = "correction", _("correction")
        MERGED = "merged", _("students merged")

    school = models.ForeignKey(School, on_delete=models.CASCADE, related_name="account_entries")
    kind = models.CharField(_("kind"), max_length=10, choices=Kind.choices)
    day = models.ForeignKey(CastingDay, on_delete=models.RESTRICT, null=True, blank=True, related_name="entries")
    label = models.CharField(_("flask"), max_length=3, blank=True)
    student = models.ForeignKey(Student, on_delete=models.RESTRICT, null=True, blank=True, related_name="entries")
    note = models.CharField(_("note"), max_length=200, blank=True)
    details = models.JSONField(_("details"), default=dict, blank=True)
    prices = models.ForeignKey(PriceList, on_delete=models.RESTRICT, null=True, blank=True, related_name="+")
    corrects = models.OneToOneField(
        "self", on_delete=models.RESTRICT, null=True, blank=True, related_name="corrected_by"
    )
    key = models.UUIDField(_("key made with the form"), null=True, blank=True)
    by = models.ForeignKey(Person, on_delete=models.RESTRICT, null=True, related_name="+")
    at = models.DateTimeField(_("when"), default=timezone.now)

    objects = OfSchool.as_manager()

    class Meta:
        verbose_name = _("entry of the account")
        verbose_name_plural = _("entries of the account")
        ordering = ("pk",)
        indexes = (models.Index(fields=["day", "label"], name="account_entry_by_flask"),)
        constraints = (models.UniqueConstraint(fields=("school", "key"), name="account_entry_key_once_per_school"),)

    def __str__(self) -> str:
        return f"{self.kind} {self.pk}"


class Transfer(models.Model):
    """An amount that went from one account to another: grams of their alloy, or money."""

    class What(models.TextChoices):
        """What went: of metal, in which form."""

        METAL = "metal", _("metal")
        FRESH = "fresh", _("fresh metal")
        REUSED = "reused", _("re-used metal")
        CASTING = "casting", _("casting")
        BUTTON = "button", _("button")
        SPRUES = "sprues", _("sprues")
        SWEEPS = "sweeps", _("sweeps")
        LOSS = "loss", _("loss")
        MONEY = "money", _("money")

    entry = models.ForeignKey(AccountEntry, on_delete=models.CASCADE, related_name="transfers")
    from_account = models.ForeignKey(Account, on_delete=models.RESTRICT, related_name="given")
    to_account = models.ForeignKey(Account, on_delete=models.RESTRICT, related_name="taken")
    amount = ExactField(_("amount"))
    what = models.CharField(_("what"), max_length=8, choices=What.choices, default=What.METAL)
    wax = models.ForeignKey(Wax, on_delete=models.RESTRICT, null=True, blank=True, related_name="transfers")

    class Meta:
        verbose_name = _("transfer")
        verbose_name_plural = _("transfers")
        ordering = ("pk",)
        constraints = (
            models.CheckConstraint(condition=Q(amount__gt=0), name="transfer_moves_something"),
            models.CheckConstraint(
                condition=~Q(from_account=models.F("to_account")), name="transfer_between_two_accounts"
            ),
        )

    def __str__(self) -> str:
        return f"transfer {self.pk}"


class SchoolLeaving(models.Model):
    """A school that is deleted as a whole, by its key: the guards let its account go with it."""

    number = models.BigIntegerField(_("number of the school"), unique=True)

    class Meta:
        verbose_name = _("school being deleted")
        verbose_name_plural = _("schools being deleted")

    def __str__(self) -> str:
        return str(self.number)
