from tests.test_geometry_sight import *
def _go(scene):
    heights = [scene.height] if scene.height is not None else [*Viewer().standing]
    if scene.height is None and scene.bounds.high[2] < 36:
        heights += [*Viewer().seated]
    eyes = eyes_round(scene.bounds, scene.seen_from, heights)
    found = [brute(mouth, eyes, scene.hiding) for mouth in scene.mouths]
    assert scene.seen() == {number for number, seeing in enumerate(found) if any(seeing)}
    assert scene.sight().share == pytest.approx(sum(found[0]) / len(eyes), abs=1e-12)
@given(cabinets())
@settings(max_examples=3000, deadline=None, database=None)
def test_x(scene): _go(scene)
@given(scenes())
@settings(max_examples=2000, deadline=None, database=None)
def test_y(scene): _go(scene)
