"""What pyproject.toml cannot say: the tables beside the package are installed inside it.

`resources/` lies at the top of the repository, where a contributor looks for
it; an installed program finds the same folder as `workbench/resources`.
Everything else stands in pyproject.toml.
"""

from setuptools import find_namespace_packages, setup

setup(
    packages=[*find_namespace_packages(include=["workbench", "workbench.*"]), "workbench.resources"],
    package_dir={"workbench.resources": "resources"},
    package_data={"workbench": ["py.typed"], "workbench.resources": ["**/*"]},
    exclude_package_data={"workbench.resources": ["*.py", "**/*.py", "**/__pycache__/*"]},
)
