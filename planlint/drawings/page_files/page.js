"use strict";
(() => {
  const byId = (id) => document.getElementById(id);
  const data = JSON.parse(byId("data").textContent);
  const look = byId("look"), canvas = byId("view"), tags = byId("tags"), told = byId("told");
  let renderer;
  try {
    renderer = new THREE.WebGLRenderer({ canvas, antialias: true, alpha: true });
  } catch (_) {
    byId("flat").hidden = false;
    return;
  }
  look.hidden = told.hidden = byId("deeds").hidden = false;
  const V = (p) => new THREE.Vector3(p[0], p[1], p[2]);
  const still = matchMedia("(prefers-reduced-motion: reduce)");
  const dark = matchMedia("(prefers-color-scheme: dark)");
  const scene = new THREE.Scene();
  const low = V(data.low), high = V(data.high);
  const middle = low.clone().add(high).multiplyScalar(0.5);
  const size = Math.max(high.distanceTo(low), 0.1);
  const camera = new THREE.PerspectiveCamera(32, 1, size / 500, size * 40);
  camera.up.set(0, 0, 1);
  let controls = orbit();
  function orbit() {
    const made = new THREE.OrbitControls(camera, canvas);
    made.minDistance = size / 40;
    made.maxDistance = size * 12;
    made.addEventListener("change", () => draw());
    return made;
  }
  scene.add(new THREE.HemisphereLight(0xffffff, 0x9a9080, 0.75));
  const sun = new THREE.DirectionalLight(0xffffff, 0.55);
  camera.add(sun);
  sun.position.set(0.4, 0.8, 1);
  scene.add(camera);

  // ------------------------------------------------------------ solids
  const TONES = { softwood: 0xe9cf9f, hardwood: 0xc79a64, plywood: 0xdcc7a2 };
  const parts = data.parts.map((part, number) => {
    const flat = [];
    for (const t of part.triangles) flat.push(part.points[3 * t], part.points[3 * t + 1], part.points[3 * t + 2]);
    const shape = new THREE.BufferGeometry();
    shape.setAttribute("position", new THREE.Float32BufferAttribute(flat, 3));
    shape.computeVertexNormals();
    shape.computeBoundingSphere();
    shape.computeBoundingBox();
    const wood = new THREE.MeshLambertMaterial({
      color: TONES[part.kind] || 0xcfc3ad, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1,
    });
    const mesh = new THREE.Mesh(shape, wood);
    const ends = [];
    for (const t of part.lines) ends.push(part.points[3 * t], part.points[3 * t + 1], part.points[3 * t + 2]);
    const lines = new THREE.BufferGeometry();
    lines.setAttribute("position", new THREE.Float32BufferAttribute(ends, 3));
    const rim = part.doubtful
      ? new THREE.LineSegments(lines, new THREE.LineDashedMaterial({ dashSize: size / 120, gapSize: size / 120 }))
      : new THREE.LineSegments(lines, new THREE.LineBasicMaterial());
    if (part.doubtful) rim.computeLineDistances();
    const group = new THREE.Group();
    group.add(mesh, rim);
    mesh.userData.part = number;
    scene.add(group);
    return { part, group, mesh, rim, wood, ends, thick: null, glassy: false, hidden: false };
  });
  const meshes = parts.map((each) => each.mesh);

  function thickRim(each) {
    if (!each.thick) {
      const shape = new THREE.LineSegmentsGeometry();
      shape.setPositions(each.ends);
      each.thick = new THREE.LineSegments2(shape, new THREE.LineMaterial({ linewidth: 3.5 }));
      each.group.add(each.thick);
    }
    return each.thick;
  }

  function rod(a, b, radius, tone) {
    const from = V(a), to = V(b), far = from.distanceTo(to);
    const mesh = new THREE.Mesh(
      new THREE.CylinderGeometry(radius, radius, far, 20), new THREE.MeshLambertMaterial({ color: tone })
    );
    mesh.position.copy(from).add(to).multiplyScalar(0.5);
    mesh.quaternion.setFromUnitVectors(new THREE.Vector3(0, 1, 0), to.sub(from).normalize());
    mesh.renderOrder = 2;
    return mesh;
  }
  const inside = new THREE.Group();
  scene.add(inside);

  // ------------------------------------------------------------ what is picked
  const state = { part: null, finding: null, joint: null, step: 0, apart: 0 };

  function ink() {
    return new THREE.Color(dark.matches ? 0xd8d6d0 : 0x2a2622);
  }
  function faultTone() {
    return new THREE.Color(dark.matches ? 0xff9489 : 0xb3261e);
  }

  function show() {
    const finding = state.finding === null ? null : data.findings[state.finding];
    const step = state.step ? data.steps[state.step - 1] : null;
    const marked = new Set(finding ? finding.parts : state.joint !== null ? data.joints[state.joint].parts : []);
    const there = new Set();
    const fresh = new Set(step ? step.added : []);
    if (step) {
      for (let n = 0; n < state.step; n++) {
        for (const p of data.steps[n].added) there.add(p);
        for (const p of data.steps[n].standing) there.add(p);
      }
    }
    const withInside = finding !== null || state.joint !== null;
    parts.forEach((each, number) => {
      const picked = number === state.part || marked.has(number);
      const gone = each.hidden || (step && !there.has(number));
      each.group.visible = !gone;
      const glassy = each.glassy || (withInside && marked.size > 0 && !(finding && finding.eye));
      each.wood.transparent = glassy;
      each.wood.opacity = glassy ? (marked.has(number) ? 0.35 : 0.13) : 1;
      each.wood.depthWrite = !glassy;
      each.wood.needsUpdate = true;
      each.rim.material.color.copy(ink());
      each.rim.material.transparent = true;
      each.rim.material.opacity = glassy && !marked.has(number) && !each.glassy ? 0.35 : 1;
      const bold = picked || fresh.has(number);
      if (bold || each.thick) {
        const rim = thickRim(each);
        rim.visible = bold;
        rim.material.color.copy(finding && marked.has(number) ? faultTone() : picked ? new THREE.Color(0x1d6fb8) : ink());
      }
      const by = V(each.part.apart).multiplyScalar(state.apart * size * 0.16);
      each.group.position.copy(by);
    });
    for (const old of [...inside.children]) {
      inside.remove(old);
      if (old.geometry) old.geometry.dispose();
    }
    const joints = new Set(
      finding && finding.joint !== null ? [finding.joint] : state.joint !== null ? [state.joint] : step ? step.joints : []
    );
    if (state.apart === 0) {
      for (const screw of data.screws) {
        if (!joints.has(screw.joint)) continue;
        if (screw.bore) {
          const bore = rod(screw.mouth, screw.shoulder, screw.bore, finding && finding.eye ? 0xb3261e : 0x8d99a6);
          if (finding && finding.eye) bore.material.depthTest = false;
          inside.add(bore);
        }
        inside.add(rod(screw.shoulder, screw.tip, screw.screw, 0x3c444c));
      }
      if (finding && finding.between) {
        const line = new THREE.LineSegmentsGeometry();
        line.setPositions([...finding.between[0], ...finding.between[1]]);
        const drawn = new THREE.LineSegments2(line, new THREE.LineMaterial({ linewidth: 5, depthTest: false }));
        drawn.material.color.copy(faultTone());
        drawn.renderOrder = 5;
        inside.add(drawn);
      }
    }
    for (const [name, value] of [["part", state.part], ["finding", state.finding === null ? null : state.finding + 1], ["step", state.step || null]]) {
      for (const button of document.querySelectorAll(`[data-${name}]`)) {
        const here = value !== null && Number(button.dataset[name]) === value;
        if (here) button.setAttribute("aria-current", "true");
        else button.removeAttribute("aria-current");
      }
    }
    const own = state.part === null ? null : parts[state.part];
    byId("deeds").hidden = !sheet();
    byId("glass").hidden = byId("hide").hidden = own === null;
    if (own) {
      byId("glass").setAttribute("aria-pressed", String(own.glassy));
      byId("hide").setAttribute("aria-pressed", String(own.hidden));
    }
    tag();
    tell();
    draw();
  }

  function sheet() {
    const name = state.finding !== null ? `finding-${state.finding + 1}` : state.part !== null ? `part-${state.part}` : state.step ? `step-${state.step}` : "";
    return name && document.getElementById(name);
  }

  function lines(...words) {
    told.replaceChildren(
      ...words.filter(Boolean).map((text, n) => {
        const p = document.createElement("p");
        p.textContent = text;
        if (n === 0) p.style.fontWeight = "bold";
        return p;
      })
    );
  }

  function tell() {
    if (state.finding !== null) {
      const f = data.findings[state.finding];
      lines(`${state.finding + 1}. ${f.grade}: ${f.rule}, ${f.about}`, f.says, f.measured, ...f.do.map((each) => `Do: ${each}`));
    } else if (state.part !== null) {
      const p = data.parts[state.part];
      lines(p.name, `${p.size}, ${p.stock}`, ...p.joints.map((n) => data.joints[n].says));
    } else if (state.joint !== null) {
      lines(data.joints[state.joint].name, data.joints[state.joint].says);
    } else if (state.step) {
      const s = data.steps[state.step - 1];
      lines(s.title, ...s.says.slice(1));
    } else lines("Turn the piece; pick a part or a finding.");
  }

  // ------------------------------------------------------------ names in the picture
  let labels = [];
  const closeTo = () => Math.max(size * 0.05, Math.min(3, size / 2));
  function tag() {
    labels = [];
    const put = (at, words, fault, by) => {
      const span = document.createElement("span");
      span.textContent = words;
      if (fault) span.className = "fault";
      labels.push({ at, span, by });
    };
    if (state.finding !== null) {
      const f = data.findings[state.finding];
      if (f.at) put(V(f.at), f.measure || f.rule, true, null);
      for (const n of f.parts.slice(0, 4)) {
        // In the part near what is found, as the middle of a long one lies out of the picture.
        const shape = parts[n].mesh.geometry, name = shape.boundingSphere.center.clone();
        if (f.at && !f.eye && (f.joint !== null || f.between)) {
          const { min, max } = shape.boundingBox, rim = max.clone().sub(min).multiplyScalar(0.25);
          rim.min(new THREE.Vector3(1, 1, 1).multiplyScalar(closeTo() * 0.45));
          name.copy(V(f.at)).clamp(min.clone().add(rim), max.clone().sub(rim));
        }
        put(name, data.parts[n].name, false, n);
      }
    } else if (state.part !== null) {
      put(parts[state.part].mesh.geometry.boundingSphere.center.clone(), data.parts[state.part].name, false, state.part);
    } else if (state.step) {
      for (const n of data.steps[state.step - 1].added.slice(0, 6)) {
        put(parts[n].mesh.geometry.boundingSphere.center.clone(), data.parts[n].name, false, n);
      }
    }
    tags.replaceChildren(...labels.map((each) => each.span));
  }

  function place() {
    const wide = canvas.clientWidth, tall = canvas.clientHeight, taken = [];
    for (const { at, span, by } of labels) {
      const p = at.clone();
      if (by !== null) p.add(parts[by].group.position);
      p.project(camera);
      if (p.z > 1) {
        span.style.visibility = "hidden";
        continue;
      }
      let x = ((p.x + 1) / 2) * wide, y = ((1 - p.y) / 2) * tall;
      const half = span.offsetWidth / 2 + 2, high = span.offsetHeight + 2;
      if (by !== null) y += span.offsetHeight * 0.9; // A name lies on its part, a measure over its place.
      x = Math.min(Math.max(x, half), wide - half);
      y = Math.min(Math.max(y, high * 1.5), tall - 4);
      for (let tries = 0; tries < 12; tries++) {
        const hit = taken.find((t) => Math.abs(t.x - x) < t.half + half && Math.abs(t.y - y) < high);
        if (!hit) break;
        y = hit.y + high;
      }
      taken.push({ x, y, half });
      span.style.visibility = "visible";
      span.style.left = `${x}px`;
      span.style.top = `${y}px`;
    }
  }

  // ------------------------------------------------------------ drawing, only when something changed
  let waiting = false;
  const frames = [];
  function draw() {
    if (waiting) return;
    waiting = true;
    requestAnimationFrame(() => {
      waiting = false;
      const start = performance.now();
      const wide = canvas.clientWidth, tall = canvas.clientHeight;
      const ratio = Math.min(devicePixelRatio || 1, 2);
      if (canvas.width !== Math.round(wide * ratio) || canvas.height !== Math.round(tall * ratio)) {
        renderer.setPixelRatio(ratio);
        renderer.setSize(wide, tall, false);
        camera.aspect = wide / Math.max(tall, 1);
        camera.updateProjectionMatrix();
      }
      const span = renderer.getDrawingBufferSize(new THREE.Vector2());
      for (const each of parts) if (each.thick) each.thick.material.resolution.copy(span);
      for (const each of inside.children) if (each.material.resolution) each.material.resolution.copy(span);
      renderer.render(scene, camera);
      place();
      frames.push(performance.now() - start);
      if (frames.length > 120) frames.shift();
    });
  }
  new ResizeObserver(draw).observe(canvas);
  dark.addEventListener("change", show);

  // ------------------------------------------------------------ where one looks from
  const WAYS = {
    front: [0, -1, 0], back: [0, 1, 0], left: [-1, 0, 0], right: [1, 0, 0],
    top: [0, -0.0005, 1], bottom: [0, -0.0005, -1], corner: [0.75, -1, 0.7],
  };
  let flight = 0;
  function go(from, to, quick) {
    const a = camera.position.clone(), b = controls.target.clone(), mine = ++flight;
    if (quick || still.matches) {
      camera.position.copy(from);
      controls.target.copy(to);
      controls.update();
      draw();
      return;
    }
    const start = performance.now(), long = 320;
    const move = () => {
      if (mine !== flight) return;
      const t = Math.min((performance.now() - start) / long, 1), s = t * t * (3 - 2 * t);
      camera.position.lerpVectors(a, from, s);
      controls.target.lerpVectors(b, to, s);
      controls.update();
      draw();
      if (t < 1) requestAnimationFrame(move);
    };
    move();
  }
  function fit(radius) {
    const half = (camera.fov / 2) * (Math.PI / 180);
    return (radius / Math.sin(Math.min(half, Math.atan(Math.tan(half) * camera.aspect)))) * 1.04;
  }
  function lie(step) {
    // As the work lies on the bench in a step, else as the piece stands.
    const up = V(step ? step.up : [0, 0, 1]);
    if (camera.up.distanceTo(up) < 1e-6) return;
    controls.dispose();
    camera.up.copy(up);
    controls = orbit();
    go(middle.clone().addScaledVector(V(step ? step.way : WAYS.corner).normalize(), fit(size / 2)), middle.clone(), true);
  }
  function view(name, quick) {
    lie(null);
    const way = V(WAYS[name]).normalize();
    go(middle.clone().addScaledVector(way, fit(size / 2)), middle.clone(), quick);
  }
  function near(at, radius, from) {
    const way = from ? V(from).normalize() : camera.position.clone().sub(controls.target).normalize();
    go(at.clone().addScaledVector(way, fit(radius)), at, false);
  }
  function turn(aside, up) {
    const arm = camera.position.clone().sub(controls.target), round = new THREE.Spherical();
    const upright = new THREE.Quaternion().setFromUnitVectors(camera.up, new THREE.Vector3(0, 1, 0));
    round.setFromVector3(arm.applyQuaternion(upright));
    round.theta += aside;
    round.phi = Math.min(Math.max(round.phi + up, 0.001), Math.PI - 0.001);
    arm.setFromSpherical(round).applyQuaternion(upright.invert());
    go(controls.target.clone().add(arm), controls.target.clone(), true);
  }
  function closer(times) {
    const arm = camera.position.clone().sub(controls.target).multiplyScalar(times);
    go(controls.target.clone().add(arm), controls.target.clone(), true);
  }

  // ------------------------------------------------------------ deeds
  let quiet = false;
  function address(words) {
    quiet = true;
    history.replaceState(null, "", words ? `#${words}` : location.pathname + location.search);
    quiet = false;
  }
  function clear() {
    state.part = state.finding = state.joint = null;
  }
  function pickPart(number, move) {
    clear();
    state.part = number;
    address(`part=${encodeURIComponent(data.parts[number].name)}`);
    show();
    if (move) {
      const ball = parts[number].mesh.geometry.boundingSphere;
      near(ball.center.clone().add(parts[number].group.position), Math.max(ball.radius * 1.5, size * 0.18));
    }
  }
  function pickFinding(number) {
    clear();
    state.finding = number;
    state.step = 0;
    state.apart = 0;
    byId("apart").value = 0;
    if (byId("steps")) byId("steps").value = 0;
    lie(null);
    address(`finding=${number + 1}`);
    show();
    const f = data.findings[number];
    if (f.eye) go(V(f.eye), V(f.at), false);
    else if (f.joint === null && !f.between && f.parts.length) {
      // What is about parts as a whole shows them whole.
      const box = new THREE.Box3(), ball = new THREE.Sphere();
      for (const n of f.parts) box.union(parts[n].mesh.geometry.boundingBox);
      box.getBoundingSphere(ball);
      near(ball.center, ball.radius * 1.1, f.way || WAYS.corner);
    } else if (f.at) near(V(f.at), closeTo(), f.way);
  }
  function pickJoint(number) {
    clear();
    state.joint = number;
    address(`joint=${encodeURIComponent(data.joints[number].name)}`);
    show();
    near(V(data.joints[number].at), Math.max(size * 0.08, 4), data.joints[number].way);
  }
  function goStep(number) {
    clear();
    state.step = Math.min(Math.max(number, 0), data.steps.length);
    const slider = byId("steps");
    if (slider) {
      slider.value = state.step;
      slider.setAttribute("aria-valuetext", state.step ? data.steps[state.step - 1].title : "The whole piece");
    }
    address(state.step ? `step=${state.step}` : "");
    lie(state.step ? data.steps[state.step - 1] : null);
    show();
  }
  function pull(share) {
    state.apart = share;
    byId("apart").value = Math.round(share * 100);
    show();
  }
  function all() {
    clear();
    for (const each of parts) each.glassy = each.hidden = false;
    pull(0);
    goStep(0);
    view("corner", false);
  }

  // ------------------------------------------------------------ hands
  for (const button of document.querySelectorAll("[data-view]")) {
    button.addEventListener("click", () => {
      address(`view=${button.dataset.view}`);
      view(button.dataset.view, false);
    });
  }
  const on = (name, deed) => {
    for (const button of document.querySelectorAll(`[data-${name}]`)) {
      button.addEventListener("click", () => {
        deed(Number(button.dataset[name]));
        // On a phone the lists stand under the picture.
        if (look.getBoundingClientRect().bottom < 80) look.scrollIntoView({ behavior: still.matches ? "auto" : "smooth" });
      });
    }
  };
  on("finding", (n) => pickFinding(n - 1));
  on("part", (n) => pickPart(n, true));
  on("step", goStep);
  byId("nearer").addEventListener("click", () => closer(0.8));
  byId("farther").addEventListener("click", () => closer(1.25));
  byId("all").addEventListener("click", all);
  byId("apart").addEventListener("input", (event) => pull(event.target.value / 100));
  if (byId("steps")) byId("steps").addEventListener("input", (event) => goStep(Number(event.target.value)));
  const toggle = (what) => {
    if (state.part === null) return;
    parts[state.part][what] = !parts[state.part][what];
    show();
  };
  byId("drawing").addEventListener("click", () => {
    const there = sheet();
    there.setAttribute("tabindex", "-1");
    there.focus({ preventScroll: true });
    there.scrollIntoView({ behavior: still.matches ? "auto" : "smooth" });
  });
  byId("glass").addEventListener("click", () => toggle("glassy"));
  byId("hide").addEventListener("click", () => toggle("hidden"));

  let down = null;
  canvas.addEventListener("pointerdown", (event) => {
    down = [event.clientX, event.clientY];
  });
  canvas.addEventListener("pointerup", (event) => {
    if (!down || Math.hypot(event.clientX - down[0], event.clientY - down[1]) > 5) return;
    const box = canvas.getBoundingClientRect();
    const ray = new THREE.Raycaster();
    ray.setFromCamera(
      new THREE.Vector2(((event.clientX - box.left) / box.width) * 2 - 1, 1 - ((event.clientY - box.top) / box.height) * 2),
      camera
    );
    const seen = meshes.filter((mesh) => mesh.parent.visible);
    const solid = seen.filter((mesh) => !mesh.material.transparent);
    const hit = ray.intersectObjects(solid)[0] || ray.intersectObjects(seen)[0];
    if (hit) pickPart(hit.object.userData.part, false);
    else {
      clear();
      address("");
      show();
    }
  });

  const KEYS = {
    ArrowLeft: () => turn(-0.15, 0), ArrowRight: () => turn(0.15, 0), ArrowUp: () => turn(0, -0.12), ArrowDown: () => turn(0, 0.12),
    "+": () => closer(0.85), "=": () => closer(0.85), "-": () => closer(1.18),
    n: () => data.findings.length && pickFinding(state.finding === null ? 0 : (state.finding + 1) % data.findings.length),
    p: () => data.findings.length && pickFinding(((state.finding === null ? 0 : state.finding) + data.findings.length - 1) % data.findings.length),
    "]": () => goStep(state.step + 1), "[": () => goStep(state.step - 1),
    e: () => pull(state.apart ? 0 : 0.5), g: () => toggle("glassy"), h: () => toggle("hidden"), Escape: all,
  };
  Object.keys(WAYS).forEach((name, n) => {
    KEYS[String(n + 1)] = () => view(name, false);
  });
  canvas.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || !Object.prototype.hasOwnProperty.call(KEYS, event.key)) return;
    event.preventDefault();
    KEYS[event.key]();
  });

  // ------------------------------------------------------------ the address behind #
  function follow() {
    if (quiet) return;
    const cut = location.hash.indexOf("=");
    const what = location.hash.slice(1, cut < 0 ? undefined : cut);
    let word = "";
    try {
      word = decodeURIComponent(location.hash.slice(cut + 1));
    } catch (_) {
      return;
    }
    const named = (list) => list.findIndex((each) => each.name === word);
    if (what === "finding" && data.findings[Number(word) - 1]) pickFinding(Number(word) - 1);
    else if (what === "part" && named(data.parts) >= 0) pickPart(named(data.parts), true);
    else if (what === "joint" && named(data.joints) >= 0) pickJoint(named(data.joints));
    else if (what === "step" && Number(word) >= 0 && Number(word) <= data.steps.length) goStep(Math.floor(Number(word)));
    else if (what === "view" && Object.prototype.hasOwnProperty.call(WAYS, word)) view(word, false);
  }
  addEventListener("hashchange", follow);
  camera.aspect = canvas.clientWidth / Math.max(canvas.clientHeight, 1);
  camera.updateProjectionMatrix();
  view("corner", true);
  show();
  follow();
  window.planPage = { state, frames, camera, turn, get controls() { return controls; } };
})();
