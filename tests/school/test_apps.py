"""The school's app: its system checks stand once it is ready."""

from django.core.checks.registry import registry

from school.checks import check_pango, check_pragmas


def test_the_schools_checks_are_registered():
    assert {check_pango, check_pragmas} <= set(registry.get_checks(include_deployment_checks=True))
