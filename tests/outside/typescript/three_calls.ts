// A check, a plan and a refusal, asked with the types that openapi-typescript made from openapi/openapi.json:
//
//     node three_calls.js BASE_URL
//
// tsc checks this file with --strict: what is asked for below has the type that the document gives it.

import createClient from "openapi-fetch";
import type { components, paths } from "./brimline.js";

type Schemas = components["schemas"];
/** Replies and refusals as JSON; pictures and tables are other formats of the same operations. */
type Json = "application/json" | "application/problem+json";
type Client = ReturnType<typeof createClient<paths, Json>>;

function fail(text: string): never {
    console.error(`three_calls: ${text}`);
    process.exit(1);
}

/** How far is ethanol below its flash point in lab S3 at 21 Cel? Wide bounds: they find a wrong field, unit or sign. */
async function check(client: Client): Promise<void> {
    const { data: reply, error } = await client.POST("/v1/flash-point-margin", {
        body: { liquid: "ethanol", room_temperature: "21 Cel" },
    });
    if (!reply) fail(`no answer but ${JSON.stringify(error)}`);
    console.log(reply.sentence);
    const { flash_point, margin, outcome } = reply;
    if (flash_point?.unit !== "Cel" || flash_point.value < 5 || flash_point.value > 15) {
        fail(`the flash point is ${JSON.stringify(flash_point)}`);
    }
    if (margin?.unit !== "K" || margin.value >= 0 || outcome !== "over_limit") {
        fail(`the margin is ${JSON.stringify(margin)}, the outcome ${outcome}`);
    }
}

/** A lesson in lab S3: eight jars of chromatography solvent for 24 people. */
function leafPigments(solvent: Schemas["Liquid"], volume: string): Schemas["Practical"] {
    return {
        name: "Leaf pigments, lab S3",
        room: { volume, temperature: "21 Cel", air_changes: "3 /h", floor_area: "70 m2" },
        people: { nearest: "0.6 m", count: 24 },
        stock: [{ liquid: solvent, container: "250 mL", distance: "5 m" }],
        ignition: [],
        steps: [
            { do: "draw", liquid: solvent, amount: "40 mL" },
            {
                do: "pour",
                liquid: solvent,
                amount: "5 mL",
                vessel: { capacity: "250 mL", mouth_diameter: "4 cm", material: "glass" },
                vessels: 8,
            },
            { do: "evaporate", duration: "25 min" },
            { do: "clear" },
        ],
    };
}

/** May the lesson be held as planned? Every step and every comparison is answered. */
async function plan(client: Client): Promise<void> {
    const { data: reply, error } = await client.POST("/v1/practical", {
        body: leafPigments("heptane", "190 m3"),
    });
    if (!reply) fail(`no answer but ${JSON.stringify(error)}`);
    console.log(reply.sentence);
    const steps: Schemas["Doing"][] = reply.steps.map((step) => step.do);
    if (steps.join() !== "draw,pour,evaporate,clear" || reply.checks.length === 0) {
        fail(`the plan is answered with the steps ${steps} and ${reply.checks.length} checks`);
    }
}

/** A volume without a unit and a misspelt name are refused in one reply, each with its place. */
async function refusal(client: Client): Promise<void> {
    const { error: problem, response } = await client.POST("/v1/practical", {
        body: leafPigments("heptan", "190"),
    });
    if (!problem) fail("a volume without a unit was answered");
    const faults: Schemas["Fault"][] = problem.errors ?? [];
    for (const fault of faults) console.log(`${fault.pointer}: ${fault.detail}`);
    const pointers = faults.map((fault) => fault.pointer);
    const expected = ["/room/volume", "/steps/0/liquid", "/stock/0/liquid"];
    if (response.status !== 422 || !expected.every((pointer) => pointers.includes(pointer))) {
        fail(`refused with ${response.status} at ${pointers}`);
    }
}

const baseUrl = process.argv[2] ?? fail("give the address of the service");
const client = createClient<paths, Json>({ baseUrl });
await check(client);
await plan(client);
await refusal(client);
