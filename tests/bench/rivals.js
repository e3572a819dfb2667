// Lays one graph out with a library of Node: a request on standard input, the answer on standard
// output. Request: {engine, ports, nodes: [{id, width, height, inputs, outputs: [[id, y], …]}],
// edges: [[node, port, node, port], …]}. Answer: {ways: [[[x, y], …], …], seconds}, or {absent}.
"use strict";

function found(...names) {
  for (const name of names) {
    try {
      return require(name);
    } catch (error) {
      if (error.code !== "MODULE_NOT_FOUND") throw error;
    }
  }
  return null;
}

async function elk(asked) {
  const Elk = found("elkjs/lib/elk.bundled.js", "elkjs");
  if (!Elk) return { absent: true };
  const side = (node, ports, x, where) =>
    ports.map(([id, y]) => ({
      id: `${node.id}|${where}|${id}`, x, y, width: 0, height: 0,
      layoutOptions: { "elk.port.side": where },
    }));
  const children = asked.nodes.map((node) => ({
    id: node.id, width: node.width, height: node.height,
    layoutOptions: { "elk.portConstraints": asked.ports === "free" ? "FIXED_SIDE" : "FIXED_POS" },
    ports: [...side(node, node.inputs, 0, "WEST"), ...side(node, node.outputs, node.width, "EAST")],
  }));
  const edges = asked.edges.map(([a, out, b, into], k) => ({
    id: `e${k}`, sources: [`${a}|EAST|${out}`], targets: [`${b}|WEST|${into}`],
  }));
  const layoutOptions = {
    "elk.algorithm": "layered", "elk.direction": "RIGHT",
    "elk.layered.thoroughness": "100", "elk.edgeRouting": "ORTHOGONAL",
  };
  const start = process.cpuUsage();
  const drawn = await new Elk().layout({ id: "whole", children, edges, layoutOptions });
  const spent = process.cpuUsage(start);
  const ways = drawn.edges.map(({ sections: [way] }) =>
    [way.startPoint, ...(way.bendPoints || []), way.endPoint].map(({ x, y }) => [x, y]));
  return { ways, seconds: (spent.user + spent.system) / 1e6 };
}

function dagre(asked) {
  const library = found("@dagrejs/dagre", "dagre");
  if (!library) return { absent: true };
  const graph = new library.graphlib.Graph({ multigraph: true });
  graph.setGraph({ rankdir: "LR" });
  graph.setDefaultEdgeLabel(() => ({}));
  for (const { id, width, height } of asked.nodes) graph.setNode(id, { width, height });
  asked.edges.forEach(([a, , b], k) => graph.setEdge(a, b, {}, `e${k}`));
  const start = process.cpuUsage();
  library.layout(graph);
  const spent = process.cpuUsage(start);
  const ways = asked.edges.map(([a, , b], k) =>
    graph.edge(a, b, `e${k}`).points.map(({ x, y }) => [x, y]));
  return { ways, seconds: (spent.user + spent.system) / 1e6 };
}

const asked = JSON.parse(require("fs").readFileSync(0, "utf8"));
Promise.resolve({ elk, dagre }[asked.engine](asked)).then((answer) =>
  process.stdout.write(JSON.stringify(answer)));
