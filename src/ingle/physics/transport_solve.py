"""One implicit stage: A x = r for every cell and every finite bath.

A is symmetric. Baths border it, so that however thin a bath is, it is solved together with the cells. The lines
of cells give P, near A (see `transport_kernels`); with the baths eliminated it is the preconditioner of conjugate
gradients, with the flexible update, since P is not quite symmetric where tissues differ. On a row of cells the first
turn is exact.
"""

# mypy: allow-untyped-defs

from __future__ import annotations

from ingle.physics.transport_kernels import add_diagonal, along_axes, factor_lines, inner, inner_no_nan


@inner
def assemble(work, rim, storage, loss, a, a_loss, water, free):
    """Matrix of a stage and the factors of its lines; a = step x stage weight x clock factor."""
    _, ny, nz = storage.shape
    size = storage.size
    mass, inverse, diagonal = work.mass.reshape(size), work.inverse.reshape(size), work.diagonal.reshape(size)
    s, wear = storage.reshape(size), loss.reshape(size)
    for n in range(size):
        mass[n] = s[n] * (1.0 + a_loss * wear[n])
        inverse[n] = 1.0 / mass[n]
        diagonal[n] = mass[n]
    add_diagonal(diagonal, work.gx, ny * nz, a)
    add_diagonal(diagonal, work.gy, nz, a)
    add_diagonal(diagonal, work.gz, 1, a)
    work.scale[0] = a
    for f in range(rim.cell.size):
        diagonal[rim.cell[f]] += a * work.rim[f]
    factor_lines(work, rim, a)
    _border(work, rim, a, water, free)


@inner
def _border(work, rim, a, water, free):
    """Columns of the baths through P, and the small matrix that is left for them."""
    pools = water.size
    column = work.extra
    for p in range(pools):
        work.bath[p] = 0.0
        for q in range(pools):
            work.schur[p, q] = 1.0 if p == q else 0.0
    for p in range(pools):
        if not free[p]:
            continue
        for n in range(column.size):
            column[n] = 0.0
        work.bath[p] = water[p]
        for f in range(rim.cell.size):
            if rim.pool[f] == p:
                column[rim.cell[f]] += a * work.rim[f]
                work.bath[p] += a * work.rim[f]
        along_axes(work, column, work.border[p])
    for p in range(pools):
        if free[p]:
            work.schur[p, p] = work.bath[p]
    for f in range(rim.cell.size):
        p = rim.pool[f]
        if free[p]:
            for q in range(pools):
                if free[q]:
                    work.schur[p, q] -= a * work.rim[f] * work.border[q, rim.cell[f]]


@inner
def precondition(work, rim, r, rb, z, zb, free):
    """(z, zb) = P^-1 (r, rb), the baths eliminated first."""
    pools = rb.size
    along_axes(work, r, z)
    a = work.scale[0]
    any_free = False
    for p in range(pools):
        zb[p] = rb[p] if free[p] else 0.0
        any_free = any_free or free[p]
    if not any_free:
        return
    for f in range(rim.cell.size):
        if free[rim.pool[f]]:
            zb[rim.pool[f]] += a * work.rim[f] * z[rim.cell[f]]
    if pools == 1:
        zb[0] /= work.schur[0, 0]
    else:
        _eliminate(work.schur, zb)
    for p in range(pools):
        if free[p]:
            rise, column = zb[p], work.border[p]
            for n in range(z.size):
                z[n] += rise * column[n]


@inner
def _eliminate(matrix, x):
    """One symmetric Gauss-Seidel turn on the few equations of the baths: each mostly answers itself."""
    last = x.size - 1  # in place: forward, then back
    for i in range(last + 1):
        x[i] /= matrix[i, i]
        for j in range(i + 1, last + 1):
            x[j] -= matrix[j, i] * x[i]
    for i in range(last, -1, -1):
        for j in range(i + 1, last + 1):
            x[i] -= matrix[i, j] / matrix[i, i] * x[j]


@inner
def _neighbours(y, g, x, stride, a):
    """Take away what the neighbours along one axis give."""
    size = x.size
    for n in range(min(stride, size - stride)):
        y[n] -= a * g[n] * x[n + stride]
    for n in range(stride, size - stride):
        y[n] -= a * (g[n] * x[n + stride] + g[n - stride] * x[n - stride])
    for n in range(max(stride, size - stride), size):
        y[n] -= a * g[n - stride] * x[n - stride]


@inner
def apply(work, rim, x, xb, y, yb, free):
    """(y, yb) = A (x, xb); the baths that are not free count as given: their flow is left out."""
    nx, ny, nz = work.mass.shape
    diagonal, a = work.diagonal.reshape(x.size), work.scale[0]
    for n in range(x.size):
        y[n] = diagonal[n] * x[n]
    if nx > 1:
        _neighbours(y, work.gx, x, ny * nz, a)
    if ny > 1:
        _neighbours(y, work.gy, x, nz, a)
    if nz > 1:
        _neighbours(y, work.gz, x, 1, a)
    for p in range(xb.size):
        yb[p] = work.bath[p] * xb[p] if free[p] else 0.0
    for f in range(rim.cell.size):
        p = rim.pool[f]
        if free[p]:
            y[rim.cell[f]] -= a * work.rim[f] * xb[p]
            yb[p] -= a * work.rim[f] * x[rim.cell[f]]


@inner_no_nan
def largest(r, scale):
    """Largest |r scale|."""
    most = 0.0
    for n in range(r.size):
        most = max(most, abs(r[n] * scale[n]))
    return most


@inner
def _dot(u, ub, v, vb):
    total = 0.0
    for n in range(u.size):
        total += u[n] * v[n]
    for p in range(ub.size):
        total += ub[p] * vb[p]
    return total


@inner
def solve(work, rim, r, rb, x, xb, water, free, exact, most_turns):
    """Solve A (x, xb) = (r, rb) from the x given; `work.rest` keeps what is left of the right side.

    Stops when the residual, as a potential, is below ``exact`` in every cell and bath. Returns the turns taken.
    """
    rest, rest_b, scale = work.rest, work.rest_b, work.inverse.reshape(r.size)
    z, zb, p, pb, q, qb = work.z, work.z_b, work.step, work.step_b, work.image, work.image_b
    apply(work, rim, x, xb, rest, rest_b, free)
    for n in range(r.size):
        rest[n] = r[n] - rest[n]
    for i in range(rb.size):
        rest_b[i] = rb[i] - rest_b[i] if free[i] else 0.0
        pb[i] = 0.0
    share, length = 0.0, 1.0
    for turn in range(most_turns):
        precondition(work, rim, rest, rest_b, z, zb, free)
        if turn > 0:
            share = -_dot(z, zb, q, qb) / length
            for n in range(r.size):
                p[n] = z[n] + share * p[n]
        else:
            for n in range(r.size):
                p[n] = z[n]
        for i in range(rb.size):
            pb[i] = zb[i] + share * pb[i]
        apply(work, rim, p, pb, q, qb, free)
        length = _dot(p, pb, q, qb)
        if not length > 0.0:
            return turn
        along = _dot(rest, rest_b, p, pb) / length
        for n in range(r.size):
            x[n] += along * p[n]
            rest[n] -= along * q[n]
        left = largest(rest, scale)
        for i in range(rb.size):
            if free[i]:
                xb[i] += along * pb[i]
                rest_b[i] -= along * qb[i]
                left = max(left, abs(rest_b[i]) / water[i])
        if left <= exact:
            return turn + 1
    return most_turns
