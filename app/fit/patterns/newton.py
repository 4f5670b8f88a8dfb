"""One Newton step of the barrier that `barrier.py` follows: gradient, second derivatives, step, safe length."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from app.fit.patterns.problem import Bools, Floats, Problem, directions, lengths, offsets

SURE = 0.3
"""A Newton decrement below this lies where full steps are safe and the path is near."""

_HALVINGS = 40
_OFF_BOUNDS = 0.95
_SHARE_OF_FALL = 0.1


@dataclass(slots=True)
class State:
    """Where B searches stand: turn (B, d, d), shift (B, d), level s (B), slides (B, J), mu (B)."""

    turn: Floats
    shift: Floats
    level: Floats
    slid: Floats
    mu: Floats

    def take(self, rows: Bools) -> State:
        """The searches of these rows."""
        return State(self.turn[rows], self.shift[rows], self.level[rows], self.slid[rows], self.mu[rows])

    def put(self, rows: Bools, other: State) -> None:
        """Write the other's searches where `rows` is true."""
        self.turn[rows], self.shift[rows], self.level[rows] = other.turn, other.shift, other.level
        self.slid[rows], self.mu[rows] = other.slid, other.mu


@dataclass(slots=True)
class _Place:
    """What the derivatives are made of at one place: offsets, 2 / (tau^2 - |e|^2), tau, lengths of lever."""

    e: Floats
    per: Floats
    tau: Floats
    lever: Floats
    arms: Floats
    led: Floats
    jacobian: Floats


def newton_step(problem: Problem, state: State) -> Floats:
    """Move every search by one damped Newton step; the Newton decrements before it, (B,)."""
    place = _place(problem, state)
    place.jacobian = _jacobian(problem, place)
    gradient, hessian, curved = _derivatives(problem, state, place)
    move = _solve(gradient, hessian, curved)
    decrement: Floats = np.sqrt(np.maximum(-np.einsum("bn,bn->b", gradient, move), 0.0))
    _walk(problem, state, place.lever, move, decrement, _room_ahead(problem, place, move))
    return decrement


def barrier(problem: Problem, state: State) -> Floats:
    """s / mu less the logarithms, (B,); infinite outside the bounds."""
    tau, inside = _inside(problem, state)
    room = np.where(np.isfinite(problem.slides.reach), problem.slides.reach**2 - state.slid**2, 1.0)
    good = ((tau > 0) & (inside > 0)).all(axis=1) & (room > 0).all(axis=1)
    logs = np.log(np.where(inside > 0, inside, 1.0)).sum(axis=1) + np.log(np.where(room > 0, room, 1.0)).sum(axis=1)
    value: Floats = np.where(good, state.level / state.mu - logs, np.inf)
    return value


def _inside(problem: Problem, state: State) -> tuple[Floats, Floats]:
    e = offsets(problem, state.turn, state.shift, state.slid)
    tau = np.where(problem.counts, state.level[:, None] + problem.clearance, 1.0)
    length = np.where(problem.counts, lengths(e), 0.0)
    return tau, (tau - length) * (tau + length)


def _place(problem: Problem, state: State) -> _Place:
    e = offsets(problem, state.turn, state.shift, state.slid)
    tau, inside = _inside(problem, state)
    per = np.where(problem.counts, 2.0 / inside, 0.0)
    led = directions(problem, state.turn)
    arms = problem.a @ state.turn.transpose(0, 2, 1)
    for j, k in enumerate(problem.slides.of):
        if problem.slides.on_part[j]:
            arms[:, k] += led[:, j] * state.slid[:, j, None]
    lever = np.sqrt((arms**2).sum(axis=2).mean(axis=1)) + 1e-9
    none = np.zeros(0)
    return _Place(e, per, np.where(problem.counts, tau, 0.0), lever, arms / lever[:, None, None], led, none)


def crossed(arms: Floats) -> Floats:
    """How points (B, n, d) move with each turn about an axis: (B, n, d, 1) in 2-D, (B, n, d, 3) in 3-D."""
    if arms.shape[2] == 2:
        flat: Floats = np.stack([-arms[..., 1], arms[..., 0]], axis=-1)[..., None]
        return flat
    x, y, z = arms[..., 0], arms[..., 1], arms[..., 2]
    none = np.zeros_like(x)
    columns = [np.stack(each, axis=-1) for each in ((none, -z, y), (z, none, -x), (-y, x, none))]
    turned: Floats = np.stack(columns, axis=-1)
    return turned


def _jacobian(problem: Problem, place: _Place) -> Floats:
    """How the offsets change with turn, shift, level and slides: (B, n, d, N)."""
    size, pairs, dimensions = place.e.shape
    turns = crossed(place.arms)
    first = turns.shape[3]
    jacobian = np.zeros((size, pairs, dimensions, first + dimensions + 1 + len(problem.slides.of)))
    jacobian[..., :first] = turns
    for axis in range(dimensions):
        jacobian[:, :, axis, first + axis] = 1.0
    for j, k in enumerate(problem.slides.of):
        jacobian[:, k, :, first + dimensions + 1 + j] = place.led[:, j]
    if problem.across is not None:
        jacobian = problem.across @ jacobian
    return jacobian


def _derivatives(problem: Problem, state: State, place: _Place) -> tuple[Floats, Floats, Floats]:
    """Gradient (B, N), its convex second derivatives (B, N, N), and what the curve of the turn adds to them."""
    jacobian = place.jacobian
    pull = place.e * place.per[..., None]
    size, pairs, dimensions, count = jacobian.shape
    level = crossed(place.arms[:1]).shape[3] + dimensions
    rows = np.einsum("bkdn,bkd->bkn", jacobian, pull)
    rows[:, :, level] -= place.tau * place.per
    gradient = rows.sum(axis=1)
    gradient[:, level] += 1.0 / state.mu
    scaled = (jacobian * np.sqrt(place.per)[..., None, None]).reshape(size, pairs * dimensions, count)
    hessian = rows.transpose(0, 2, 1) @ rows + scaled.transpose(0, 2, 1) @ scaled
    hessian[:, level, level] -= place.per.sum(axis=1)
    _add_stops(problem, state, gradient, hessian, level + 1)
    return gradient, hessian, _curve(problem, place, pull, count)


def _add_stops(problem: Problem, state: State, gradient: Floats, hessian: Floats, first: int) -> None:
    """What the ends of the slides add."""
    for j in range(len(problem.slides.of)):
        reach, slid = problem.slides.reach[:, j], state.slid[:, j]
        held = np.isfinite(reach)
        room = np.where(held, reach**2 - slid**2, 1.0)
        gradient[:, first + j] += np.where(held, 2.0 * slid / room, 0.0)
        hessian[:, first + j, first + j] += np.where(held, 2.0 / room + (2.0 * slid / room) ** 2, 1e-12)


def _curve(problem: Problem, place: _Place, pull: Floats, count: int) -> Floats:
    """The second derivatives that a turn has of its own, and with slides that turn with the part."""
    size, _, dimensions = pull.shape
    lever = place.lever[:, None]
    along = np.einsum("bkd,bkd->b", pull, place.arms)
    curve = np.zeros((size, count, count))
    turns = 1 if dimensions == 2 else 3
    if turns == 1:
        curve[:, 0, 0] = -along / place.lever
    else:
        outer = pull.transpose(0, 2, 1) @ place.arms
        curve[:, :3, :3] = (0.5 * (outer + outer.transpose(0, 2, 1)) - along[:, None, None] * np.eye(3)) / lever[
            ..., None
        ]
    for j, k in enumerate(problem.slides.of):
        if problem.slides.on_part[j]:
            mixed = np.einsum("bdn,bd->bn", crossed(place.led[:, None, j])[:, 0], pull[:, k]) / lever
            curve[:, :turns, turns + dimensions + 1 + j] = mixed
            curve[:, turns + dimensions + 1 + j, :turns] = mixed
    return curve


def _solve(gradient: Floats, hessian: Floats, curved: Floats) -> Floats:
    """The Newton steps; where the whole second derivatives are not convex, by their convex part."""
    whole = hessian + curved
    try:
        np.linalg.cholesky(whole)
    except np.linalg.LinAlgError:
        bad = np.linalg.eigvalsh(whole)[:, 0] <= 0
        whole[bad] = hessian[bad]
    scale = 1.0 / np.sqrt(np.maximum(np.einsum("bnn->bn", whole), 1e-300))
    evened = whole * scale[:, :, None] * scale[:, None, :] + 1e-15 * np.eye(whole.shape[1])
    solved: Floats = -np.linalg.solve(evened, (gradient * scale)[..., None])[..., 0] * scale
    return solved


def turn_of(vector: Floats, dimensions: int) -> Floats:
    """Rotation matrices (B, d, d) of turn vectors (B, 1) or (B, 3), in radians (Rodrigues' formula)."""
    if dimensions == 2:
        cosine, sine = np.cos(vector[:, 0]), np.sin(vector[:, 0])
        flat: Floats = np.stack([np.stack([cosine, -sine], -1), np.stack([sine, cosine], -1)], axis=1)
        return flat
    angle = np.linalg.norm(vector, axis=1)[:, None, None]
    skew = crossed(np.broadcast_to(np.eye(3), (len(vector), 3, 3)))
    across = np.einsum("bkdn,bn->bdk", skew, vector)
    turn: Floats = (
        np.eye(3) + np.sinc(angle / np.pi) * across + 0.5 * np.sinc(angle / (2 * np.pi)) ** 2 * across @ across
    )
    return turn


def _room_ahead(problem: Problem, place: _Place, move: Floats) -> Floats:
    """What share of the step (0 to 1) keeps 1/20 off the bounds of distances, the turn taken as straight."""
    level = move.shape[1] - 1 - len(problem.slides.of)
    ahead = (place.jacobian @ move[:, None, :, None])[..., 0]
    rise = np.where(problem.counts, move[:, level, None], 0.0)
    square = (ahead**2).sum(axis=2) - rise**2
    mixed = np.einsum("bkd,bkd->bk", place.e, ahead) - place.tau * rise
    inside = np.where(problem.counts, 2.0 / np.where(place.per > 0, place.per, 1.0), 1.0)
    root = np.sqrt(np.maximum(mixed**2 + square * inside, 0.0))
    down = mixed + root
    share = np.where(problem.counts & (down > 0), _OFF_BOUNDS * inside / np.where(down > 0, down, 1.0), 1.0)
    nearest: Floats = np.minimum(share.min(axis=1), 1.0)
    return nearest


def _walk(problem: Problem, state: State, lever: Floats, move: Floats, decrement: Floats, share: Floats) -> None:
    """Go this share of the step, or as far of it as stays inside and goes down enough."""
    before = barrier(problem, state)
    share = np.where(decrement < SURE, 1.0, share)
    for _ in range(_HALVINGS):
        tried = _moved(state, lever, move * share[:, None])
        after = barrier(problem, tried)
        enough = after <= before - _SHARE_OF_FALL * share * decrement**2
        good = np.isfinite(after) & (enough | (decrement < SURE))
        if good.all():
            break
        share = np.where(good, share, share * 0.5)
    state.put(good, tried.take(good))


def _moved(state: State, lever: Floats, move: Floats) -> State:
    dimensions = state.shift.shape[1]
    turns = 1 if dimensions == 2 else 3
    turned = turn_of(move[:, :turns] / lever[:, None], dimensions) @ state.turn
    level = move[:, turns + dimensions]
    slid = state.slid + move[:, turns + dimensions + 1 :]
    return State(turned, state.shift + move[:, turns : turns + dimensions], state.level + level, slid, state.mu)
