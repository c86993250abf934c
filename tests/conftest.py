"""What all tests share: how thoroughly hypothesis looks, and the corpus by itself.

``quick`` is the default, the same examples every time. ``thorough`` looks at more and other
examples each time: ``python -m pytest tests/property --hypothesis-profile=thorough``.
"""

from hypothesis import HealthCheck, settings

# No deadline: the machine decides how long an example takes, and no test here is about time.
settings.register_profile(
    "quick",
    max_examples=40,
    derandomize=True,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile(
    "thorough",
    max_examples=1000,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("quick")
