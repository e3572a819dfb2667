"""What pyproject.toml cannot say: resources lie beside the package and are installed inside it."""

from setuptools import find_packages, setup

setup(
    packages=[*find_packages(include=["slinediag", "slinediag.*"]), "slinediag._resources"],
    package_dir={"slinediag._resources": "resources"},
    package_data={"slinediag._resources": ["**/*"]},
)
