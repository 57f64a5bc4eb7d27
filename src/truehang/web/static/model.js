// How does a wall turn before the eye, with its leaves sliding? Shows the model of a job and moves
// it by buttons, keys and fingers. Draws only when something changed, so that a phone stays cool.
import {
  AnimationMixer,
  Box3,
  Color,
  DirectionalLight,
  EdgesGeometry,
  HemisphereLight,
  LineBasicMaterial,
  LineSegments,
  PerspectiveCamera,
  Scene,
  Sphere,
  Spherical,
  Vector3,
  WebGLRenderer,
} from "./vendor/three/three.module.min.js";
import { OrbitControls } from "./vendor/three/controls/OrbitControls.js";
import { GLTFLoader } from "./vendor/three/loaders/GLTFLoader.js";

const FIELD = 35; // degrees of view, up and down
const FIRST = [0.45, 0.25, 1];
const EDGE = new Color(0x1c2522);

const place = document.getElementById("model");
const canvas = place.querySelector("canvas");
const state = document.getElementById("model-state");
const handling = place.querySelector(".handling");
const opened = document.getElementById("opened");
const said = document.getElementById("opened-said");
const halfway = Number(place.dataset.seconds);

try {
  await begin();
  state.textContent = "";
  handling.hidden = false;
  place.dataset.ready = "yes";
} catch (trouble) {
  state.textContent = `The model can't be shown here (${trouble.message}). Every part is listed in words below.`;
}

async function begin() {
  const renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true });
  renderer.setPixelRatio(Math.min(window.devicePixelRatio, 2));
  const { scene: wall, animations } = await new GLTFLoader().loadAsync(place.dataset.model);
  const scene = new Scene();
  scene.add(wall, new HemisphereLight(0xffffff, 0x8a8f8c, 2.2));
  const sun = new DirectionalLight(0xffffff, 1.8);
  sun.position.set(0.4, 0.8, 1);
  const fill = new DirectionalLight(0xffffff, 1.1);
  fill.position.set(-0.5, 0.6, -1);
  scene.add(sun, fill);
  outline(wall);

  const camera = new PerspectiveCamera(FIELD, 1, 0.05, 100);
  const controls = new OrbitControls(camera, canvas);
  controls.enableDamping = false;
  // A finger that goes up or down scrolls the page; a wheel does too, unless Ctrl is held.
  canvas.style.touchAction = "pan-y";
  canvas.addEventListener("wheel", (event) => event.ctrlKey || event.stopImmediatePropagation(), { capture: true });

  const about = bounds(wall);
  let asked = false;
  const draw = () => {
    if (asked) return;
    asked = true;
    requestAnimationFrame(() => {
      asked = false;
      renderer.render(scene, camera);
    });
  };
  controls.addEventListener("change", draw);

  const look = (direction) => {
    const span = Math.min(1, camera.aspect) * Math.sin((FIELD / 2) * (Math.PI / 180));
    controls.target.copy(about.center);
    camera.position.copy(about.center).addScaledVector(new Vector3(...direction).normalize(), (about.radius * 0.88) / span);
    controls.update();
    draw();
  };
  const turn = (round, over) => {
    const at = new Spherical().setFromVector3(camera.position.clone().sub(controls.target));
    at.theta += round;
    at.phi = Math.min(Math.max(at.phi + over, 0.05), Math.PI - 0.05);
    camera.position.setFromSpherical(at).add(controls.target);
    controls.update();
    draw();
  };
  const nearer = (times) => {
    camera.position.sub(controls.target).multiplyScalar(times).add(controls.target);
    controls.update();
    draw();
  };

  const mixer = new AnimationMixer(wall);
  if (animations.length) mixer.clipAction(animations[0]).play();
  const slideTo = (share) => {
    mixer.setTime(share * halfway);
    said.textContent = share === 0 ? "closed" : share === 1 ? "open" : `${Math.round(share * 100)} % open`;
    opened.value = String(Math.round(share * 100));
    draw();
  };

  let first = true;
  new ResizeObserver(() => {
    const { clientWidth, clientHeight } = canvas.parentElement;
    if (!clientWidth || !clientHeight) return;
    renderer.setSize(clientWidth, clientHeight, false);
    camera.aspect = clientWidth / clientHeight;
    camera.updateProjectionMatrix();
    if (first) look(FIRST);
    first = false;
    draw();
  }).observe(canvas.parentElement);

  opened.addEventListener("input", () => slideTo(Number(opened.value) / 100));
  const acts = {
    slide: () => slide(slideTo),
    look: (button) => look(numbers(button.dataset.look)),
    turn: (button) => turn(...numbers(button.dataset.turn)),
    nearer: (button) => nearer(Number(button.dataset.nearer)),
  };
  handling.addEventListener("click", (event) => {
    const button = event.target.closest("button");
    if (!button) return;
    if (button.dataset.do) acts[button.dataset.do](button);
    else acts["look" in button.dataset ? "look" : "turn" in button.dataset ? "turn" : "nearer"](button);
  });
  handling.addEventListener("change", (event) => {
    const name = event.target.dataset.hides;
    if (!name) return;
    wall.traverse((node) => {
      if (named(node) === name) node.visible = event.target.checked;
    });
    draw();
  });
  slideTo(0);
}

// The loader makes names of its own from those in the file, and keeps these beside them.
function named(node) {
  return node.userData.name ?? node.name;
}

function numbers(text) {
  return text.split(" ").map(Number);
}

// Dark edges tell parts apart where light and colour don't.
function outline(wall) {
  const meshes = [];
  wall.traverse((node) => node.isMesh && node.userData.kind !== "floor" && meshes.push(node));
  for (const mesh of meshes) {
    const seen = mesh.material.transparent ? 0.35 : 0.8;
    const line = new LineBasicMaterial({ color: EDGE, transparent: true, opacity: seen });
    mesh.add(new LineSegments(new EdgesGeometry(mesh.geometry, 20), line));
    if (mesh.material.transparent) mesh.renderOrder = 1;
    // Faces draw back a hair so that the edges on them show whole.
    Object.assign(mesh.material, { polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1 });
  }
}

// What is looked at: the build, not the floor before it.
function bounds(wall) {
  const box = new Box3();
  wall.traverse((node) => {
    if (["framing", "frame", "leaves"].includes(named(node))) box.expandByObject(node);
  });
  return box.getBoundingSphere(new Sphere());
}

// Open, wait a little, close: at once for those who want no motion.
let sliding = 0;
function slide(slideTo) {
  const mine = ++sliding;
  if (window.matchMedia("(prefers-reduced-motion: reduce)").matches) {
    slideTo(Number(opened.value) > 50 ? 0 : 1);
    return;
  }
  const begun = performance.now();
  const step = (now) => {
    if (mine !== sliding) return;
    const gone = (now - begun) / 1000 / halfway;
    slideTo(gone < 1 ? Math.max(0, gone) : gone < 1.5 ? 1 : Math.max(0, 2.5 - gone));
    if (gone < 2.5) requestAnimationFrame(step);
  };
  opened.addEventListener("pointerdown", () => sliding++, { once: true });
  requestAnimationFrame(step);
}
