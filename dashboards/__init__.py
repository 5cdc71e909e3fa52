"""Every way of showing results; none of it computes money."""

import os

# Products of matrices are small here: a second thread of NumPy's linear algebra costs more in
# waiting for it than it brings. It is read when NumPy is first imported.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
# Every model of pydantic asks all packages that are installed for plugins; none here wants one.
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
