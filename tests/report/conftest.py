import pytest
from report_case import calf_report


@pytest.fixture(scope="session")
def calf():
    return calf_report()


@pytest.fixture(scope="session")
def limb(calf):
    (limb,) = calf.limbs
    return limb
