"""What pyproject.toml cannot say: resources and samples lie beside the package and are
installed inside it."""

from setuptools import find_packages, setup

setup(
    packages=[
        *find_packages(include=["slinediag", "slinediag.*"]),
        "slinediag._resources",
        "slinediag._samples",
    ],
    package_dir={"slinediag._resources": "resources", "slinediag._samples": "samples"},
    package_data={"slinediag._resources": ["**/*"], "slinediag._samples": ["*.yaml"]},
)
